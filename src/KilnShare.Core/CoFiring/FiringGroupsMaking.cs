using KilnShare.Core.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Core.CoFiring;

/// <summary>From chosen firings to groups of pieces.</summary>
public static class FiringGroupsMaking
{
    /// <summary>Where a bisque or the setting of underglaze is put when its pieces leave a choice; source: common practice, no source.</summary>
    private static readonly Cone LowWished = Cone.Parse("06");

    /// <summary>
    /// Each piece into the fullest of the chosen firings that it may go into; each firing at the cone that is wished for its kind among those
    /// that suit all of its pieces: 06 for what is fired low, else the hottest.
    /// </summary>
    /// <param name="problem">The problem.</param>
    /// <param name="chosen">Firings that together hold every piece that can be fired.</param>
    /// <param name="lowerBound">No plan has fewer firings.</param>
    /// <param name="branchings">How many times the search branched.</param>
    /// <param name="cancelled">The caller ended the search.</param>
    public static FiringGroupsPlan Make(FiringGroupsProblem problem, IReadOnlyList<PossibleFiring> chosen, int lowerBound, long branchings, bool cancelled)
    {
        var groups = new List<FiringGroup>();
        var placed = new HashSet<int>();
        foreach (var firing in chosen.OrderByDescending(firing => firing.Pieces.Count))
        {
            int[] pieces = [.. firing.Pieces.Where(placed.Add)];
            if (pieces.Length > 0) groups.Add(Group(problem, firing, pieces));
        }

        groups.Sort((a, b) => (a.Kind, a.Series, a.Cone, a.Atmosphere).CompareTo((b.Kind, b.Series, b.Cone, b.Atmosphere)));
        var proven = groups.Count == lowerBound;
        return new FiringGroupsPlan(groups, proven, lowerBound, problem.LeftOut, branchings)
        {
            Stopped = proven ? FiringGroupsStop.Proven : cancelled ? FiringGroupsStop.Cancelled : FiringGroupsStop.SearchEnded,
        };
    }

    private static FiringGroup Group(FiringGroupsProblem problem, PossibleFiring chosen, int[] pieces)
    {
        var suiting = problem.Parts.SelectMany(part => part.Firings)
            .Where(firing => firing.Kind == chosen.Kind && firing.Series == chosen.Series && !pieces.Except(firing.Pieces).Any())
            .OrderBy(firing => firing.Atmosphere)
            .ThenBy(firing => IsLow(chosen.Kind) ? Math.Abs(firing.Cone.Order - LowWished.Order) : -firing.Cone.Order);
        var best = suiting.First();
        return new FiringGroup(best.Kind, best.Cone, best.Series, best.Atmosphere, [.. pieces.Select(i => problem.Pieces[i].Id)]);
    }

    private static bool IsLow(FiringKind kind) => kind is FiringKind.Bisque or FiringKind.UnderglazeSet;
}
