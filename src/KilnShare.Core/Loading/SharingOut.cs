using KilnShare.Core.Common;
using KilnShare.Core.Loading.Finishing;
using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading;

/// <summary>
/// Shares out the room that a plan leaves over, shelf by shelf, so that hands can follow it: pieces stand as far from each other and from the edge as they
/// can, and straight. Nothing comes, goes or changes its shelf.
/// </summary>
public static class SharingOut
{
    /// <summary>
    /// The plan with its room shared out. What stands where the problem's start plan has it stays there, and so does ware that touches other ware.
    /// </summary>
    /// <param name="problem">What the plan is of.</param>
    /// <param name="plan">A sound plan of it.</param>
    /// <param name="options">How to search.</param>
    /// <param name="work">What the whole search may do: a tenth of it is spent here at most, in iterations some tries a shelf at least.</param>
    public static LoadPlan Of(LoadProblem problem, LoadPlan plan, LoadOptions options, WorkBudget work)
    {
        var instance = new LoadInstance(problem, options, plan);
        var items = new ItemPool(problem).All.ToDictionary(i => i.Piece.Id, StringComparer.Ordinal);
        var part = work.Within(FinishingTuning.PartForSharing);
        var tries = TriesOf(work, plan.Shelves.Count);
        var random = new SeededRandom(options.Seed);
        for (var at = 0; at < plan.Shelves.Count; at++)
        {
            var ofShelf = part.AtMost(tries).PartOfRest(1.0 / (plan.Shelves.Count - at));
            plan = Shared(instance, plan, at, items, new SlackWork(options, ofShelf, random));
        }

        return WithHandRoom(plan, problem.Pieces);
    }

    /// <summary>The plan with the figure of how far hands may be off on each shelf.</summary>
    public static LoadPlan WithHandRoom(LoadPlan plan, IReadOnlyList<LoadPiece> pieces) =>
        plan with { Shelves = HandRoom.On(plan.Shelves, pieces.ToDictionary(p => p.Id, StringComparer.Ordinal)) };

    private static long TriesOf(WorkBudget work, int shelves) => work.Iterations is { } most
        ? Math.Clamp((long)(FinishingTuning.PartForSharing * most) / Math.Max(1, shelves), FinishingTuning.LeastTries, FinishingTuning.MostTries)
        : FinishingTuning.MostTries;

    private static LoadPlan Shared(
        LoadInstance instance, LoadPlan plan, int at, Dictionary<string, Item> items, SlackWork work)
    {
        var shelf = plan.Shelves[at];
        if (shelf.Placements.Count is 0 or > FinishingTuning.MostShared) return plan;
        var tray = KeptBase.TrayOf(instance, plan, at);
        PlacedItem[] stands = [.. shelf.Placements.Select(
            p => new PlacedItem(items[p.PieceId], p.Copies.Count, p.X.Micrometres, p.Y.Micrometres, p.RotationThousandths))];
        if (!tray.AllowsAll(stands)) return plan;
        tray.ReplaceAll(stands);
        var held = HeldOn(instance.Problem, shelf);
        var shared = SlackSharing.Share(tray, shelf.RotationThousandths, held, instance.Distances, work);
        tray.ReplaceAll(shared);
        if (!KeptBase.Balances(instance, plan, at, tray)) return plan;
        PlacedShelf[] shelves = [.. plan.Shelves];
        shelves[at] = shelf with
        {
            Placements = [.. shelf.Placements.Select((p, i) => p with
            {
                X = new Length(shared[i].X), Y = new Length(shared[i].Y), RotationThousandths = shared[i].Turn,
            })],
        };
        return plan with { Shelves = shelves };
    }

    private static bool[] HeldOn(LoadProblem problem, PlacedShelf shelf)
    {
        var stood = (problem.Start?.Shelves ?? []).SelectMany(s => s.Placements)
            .Select(p => (p.PieceId, p.X, p.Y, p.RotationThousandths)).ToHashSet();
        return [.. shelf.Placements.Select(p => stood.Contains((p.PieceId, p.X, p.Y, p.RotationThousandths)))];
    }
}
