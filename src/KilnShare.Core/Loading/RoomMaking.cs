using KilnShare.Core.Common;
using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading;

/// <summary>What would have to go for something to fit.</summary>
/// <param name="Leaving">The copies that go: as few as were found, and of as few those of least priority.</param>
/// <param name="Weight">Sum of their priorities.</param>
/// <param name="Plan">The plan without them, and with what was to fit; copies are numbered anew, those that go left out.</param>
public sealed record RoomMade(IReadOnlyList<PinnedCopy> Leaving, decimal Weight, LoadPlan Plan);

/// <summary>
/// Looks for the fewest placed copies without which given pieces fit. First one copy is taken out, those of least priority first,
/// and nothing else moves; then one, and the rest may move; then two. That no less would do is not proven.
/// </summary>
public static class RoomMaking
{
    // Iterations of a try in which nothing else moves, and of one in which the rest may move.
    private const long InsertIterations = 2;
    private const long MovingIterations = 25;

    // Copies, those of least priority, that are taken out with the rest free to move.
    private const int MostMoving = 12;

    // Copies, those of least priority, of which pairs are made.
    private const int MostForPairs = 40;

    /// <summary>
    /// What would have to go; null when nothing was found, or the wanted pieces are in the plan already.
    /// The budget counts tries. Copies pinned in the problem never go.
    /// </summary>
    public static RoomMade? Find(LoadProblem problem, LoadPlan plan, IReadOnlyCollection<string> wanted, LoadOptions options, WorkBudget budget)
    {
        var ids = wanted.ToHashSet(StringComparer.Ordinal);
        if (!plan.Unplaced.Any(u => ids.Contains(u.PieceId))) return null;
        var search = new Search(problem, plan, ids, options, budget);
        var candidates = Candidates(problem, plan, ids);
        return candidates.Select(c => search.Try([c], moving: false)).FirstOrDefault(r => r is not null)
            ?? candidates.Take(MostMoving).Select(c => search.Try([c], moving: true)).FirstOrDefault(r => r is not null)
            ?? Pairs(problem, candidates).Select(p => search.Try(p, moving: false)).FirstOrDefault(r => r is not null);
    }

    // Those of least priority first, of equal priority the smallest.
    private static List<PinnedCopy> Candidates(LoadProblem problem, LoadPlan plan, HashSet<string> wanted)
    {
        var pieces = problem.Pieces.ToDictionary(p => p.Id, StringComparer.Ordinal);
        var areas = problem.Pieces.ToDictionary(p => p.Id, p => Shape.Of(p.Footprint).Area, StringComparer.Ordinal);
        var pinned = problem.Pinned.ToHashSet();
        return [.. plan.Shelves.SelectMany(s => s.Placements).Where(p => !wanted.Contains(p.PieceId))
            .SelectMany(p => p.Copies.Select(c => new PinnedCopy(p.PieceId, c))).Where(c => !pinned.Contains(c))
            .OrderBy(c => pieces[c.PieceId].Priority).ThenBy(c => areas[c.PieceId]).ThenBy(c => c.PieceId, StringComparer.Ordinal).ThenBy(c => c.Copy)];
    }

    private static IEnumerable<PinnedCopy[]> Pairs(LoadProblem problem, List<PinnedCopy> candidates)
    {
        var priorities = problem.Pieces.ToDictionary(p => p.Id, p => p.Priority, StringComparer.Ordinal);
        var some = candidates.Take(MostForPairs).ToList();
        return some.SelectMany((a, i) => some.Skip(i + 1).Select(b => new[] { a, b })).OrderBy(p => p.Sum(c => priorities[c.PieceId]));
    }

    private sealed class Search(LoadProblem problem, LoadPlan plan, HashSet<string> wanted, LoadOptions options, WorkBudget budget)
    {
        private long tries;

        public RoomMade? Try(IReadOnlyList<PinnedCopy> leaving, bool moving)
        {
            if (budget.Spent(tries)) return null;
            tries++;
            if (Without(leaving, moving) is not { } smaller) return null;
            var found = LoadSearch.Solve(smaller, options, budget.AtMost(moving ? MovingIterations : InsertIterations));
            if (found.Unplaced.Any(u => wanted.Contains(u.PieceId)) || Places(found) < Places(plan) - leaving.Count) return null;
            var priorities = problem.Pieces.ToDictionary(p => p.Id, p => p.Priority, StringComparer.Ordinal);
            return new RoomMade(leaving, leaving.Sum(c => priorities[c.PieceId]), found);
        }

        // Placed copies that are not wanted ones: but for those that leave, all must stay.
        private int Places(LoadPlan of) => of.Shelves.SelectMany(s => s.Placements).Where(p => !wanted.Contains(p.PieceId)).Sum(p => p.Copies.Count);

        private LoadProblem? Without(IReadOnlyList<PinnedCopy> leaving, bool moving)
        {
            var gone = leaving.ToHashSet();
            // What had no place and is not wanted stays out: it must not take the room that is made.
            foreach (var unplaced in plan.Unplaced.Where(u => !wanted.Contains(u.PieceId)))
            {
                foreach (var copy in unplaced.Copies) gone.Add(new PinnedCopy(unplaced.PieceId, copy));
            }

            var left = problem.Pieces.ToDictionary(
                p => p.Id, p => Enumerable.Range(0, p.Quantity).Where(c => !gone.Contains(new PinnedCopy(p.Id, c))).ToList(), StringComparer.Ordinal);
            List<LoadPiece> pieces = [.. problem.Pieces.Where(p => left[p.Id].Count > 0).Select(p => p with { Quantity = left[p.Id].Count })];
            var shelves = plan.Shelves.Select(s => s with { Placements = [.. s.Placements.Select(p => Left(p, left)).Where(p => p.Copies.Count > 0)] });
            var start = plan with { Shelves = [.. shelves] };
            List<PinnedCopy> pinned = [.. problem.Pinned.Where(c => left.TryGetValue(c.PieceId, out var copies) && copies.Contains(c.Copy))
                .Select(c => c with { Copy = left[c.PieceId].IndexOf(c.Copy) })];
            var keep = !moving ? Keep.All : pinned.Count > 0 ? Keep.Pinned : Keep.None;
            var made = LoadProblem.Create(
                problem.Chamber, problem.Furniture, problem.Spacing, pieces, problem.KeepOuts, start, keep, pinned, problem.HeatZones);
            return made.Then(KeptStart.Check).TryGet(out var smaller, out _) ? smaller : null;
        }

        private static Placement Left(Placement placement, Dictionary<string, List<int>> left) =>
            placement with { Copies = [.. placement.Copies.Where(left[placement.PieceId].Contains).Select(c => left[placement.PieceId].IndexOf(c))] };
    }
}
