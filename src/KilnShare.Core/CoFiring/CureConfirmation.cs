using KilnShare.Core.CoFiring.Rules;
using KilnShare.Core.Cones;

namespace KilnShare.Core.CoFiring;

/// <summary>
/// Keeps the cures that a second check confirms: once the change is made, the rule that offered it is silent on the pieces it is done to, and no
/// rule says worse of any piece than before.
/// </summary>
internal sealed class CureConfirmation
{
    private readonly CheckedLoad load;
    private readonly Dictionary<string, int> places;
    private readonly Dictionary<string, Verdict>[] before;
    private readonly Dictionary<string, Verdict> beforeOnLoad;
    private readonly Dictionary<(CureChange, string?, Cone?, object?), After> known = [];
    private readonly Dictionary<Cure, After> elsewhere = new(ReferenceEqualityComparer.Instance);
    private readonly Lazy<(HashSet<int> Here, HashSet<int> There)> suited;

    public CureConfirmation(CheckedLoad load, IReadOnlyList<Finding>[] own, IReadOnlyList<Finding> between)
    {
        this.load = load;
        places = Enumerable.Range(0, load.Pieces.Count).ToDictionary(i => load.Pieces[i].Id, StringComparer.Ordinal);
        before = [.. own.Select(WorstByRule)];
        beforeOnLoad = WorstByRule(between);
        suited = new(() => ([.. ConeNamesake.Suited(load, load.Firing.Cone)], [.. ConeNamesake.Suited(load, load.Firing.Cone.Namesake!.Value)]));
    }

    /// <summary>What is said once a change is made: whether it is worse for somebody, and of which pieces each rule still speaks.</summary>
    private sealed class After
    {
        private readonly Dictionary<string, HashSet<string>> speaking = new(StringComparer.Ordinal);

        public bool IsWorse { get; set; }

        public void Add(IReadOnlyList<Finding> findings)
        {
            foreach (var finding in findings)
            {
                if (finding.Verdict == Verdict.Compatible) continue;
                if (!speaking.TryGetValue(finding.Rule, out var named)) speaking[finding.Rule] = named = new(StringComparer.Ordinal);
                named.UnionWith(finding.Pieces);
            }
        }

        public bool IsSilent(string rule, IReadOnlyList<string> of) => !speaking.TryGetValue(rule, out var named) || (of.Count > 0 && !of.Any(named.Contains));
    }

    /// <summary>The findings with the cures that hold; of several other firings the first that does.</summary>
    public IReadOnlyList<Finding> Confirmed(IReadOnlyList<Finding> findings) =>
        [.. findings.Select(finding => finding.Cures.Count == 0 ? finding : finding with { Cures = Holding(finding) })];

    private List<Cure> Holding(Finding finding)
    {
        var holding = new List<Cure>();
        foreach (var cure in finding.Cures)
        {
            if (cure.Change == CureChange.AnotherFiring && holding.Exists(one => one.Change == CureChange.AnotherFiring)) continue;
            var after = Of(cure);
            if (!after.IsWorse && after.IsSilent(finding.Rule, cure.Pieces.Count == 0 ? finding.Pieces : cure.Pieces)) holding.Add(cure);
        }

        return holding;
    }

    // Many findings offer the same change of the firing or of a piece, and those of one piece the same other firing.
    private After Of(Cure cure)
    {
        if (cure.Change == CureChange.AnotherFiring) return elsewhere.TryGetValue(cure, out var there) ? there : elsewhere[cure] = Elsewhere(cure);
        var key = (cure.Change, cure.Pieces.Count == 0 ? null : cure.Pieces[0], cure.Cone, (object?)cure.Series ?? cure.Amount);
        return known.TryGetValue(key, out var after) ? after : known[key] = Make(cure);
    }

    private After Make(Cure cure)
    {
        if (cure.Pieces.Count == 0) return Said(new CheckedLoad(cure.Apply(load.Firing, load.Pieces).Firing, load.Pieces, load.Evidence), beforeOnLoad);
        // What is done to a piece is looked at on that piece: no rule on the whole load hears more of it than before.
        var (firing, pieces) = cure.Apply(load.Firing, [.. cure.Pieces.Select(id => load.Pieces[places[id]])]);
        return Said(new CheckedLoad(firing, pieces, load.Evidence), null);
    }

    private After Elsewhere(Cure cure)
    {
        var there = load.Firing with { Kind = cure.Kind!.Value, Cone = cure.Cone!.Value, Atmosphere = cure.Atmosphere!.Value };
        var isOfThisKind = cure.Kind == load.Firing.Kind && cure.Cone == load.Firing.Cone;
        // Another cone has another schedule, and a history of its own.
        if (!isOfThisKind) there = there with { BisqueStart = null, Schedule = null, EarlierCones = [] };
        var moved = new CheckedLoad(there, [.. cure.Pieces.Select(id => load.Pieces[places[id]])], load.Evidence);
        var after = there == load.Firing ? OnLoad(new After(), moved, beforeOnLoad) : Said(moved, beforeOnLoad, mayBeRefused: false);
        if (LeavesDoubt(cure)) after.IsWorse = true;
        return after;
    }

    // Of those who stay the other cone of that number may suit more, once the others have left: then a question is left behind.
    private bool LeavesDoubt(Cure cure)
    {
        if (load.Firing.ConeIsMeant || load.Firing.Cone.Namesake is null || beforeOnLoad.ContainsKey(ConeNamesake.RuleName)) return false;
        int[] leaving = [.. cure.Pieces.Select(id => places[id])];
        return suited.Value.There.Count - leaving.Count(suited.Value.There.Contains) > suited.Value.Here.Count - leaving.Count(suited.Value.Here.Contains);
    }

    private After Said(CheckedLoad changed, Dictionary<string, Verdict>? beforeAll, bool mayBeRefused = true)
    {
        var after = new After();
        for (var i = 0; i < changed.Pieces.Count && !after.IsWorse; i++)
        {
            var its = CoFiringCheck.OnPiece(changed, i);
            after.IsWorse = IsWorse(before[places[changed.Pieces[i].Id]], its)
                || (!mayBeRefused && its.Exists(finding => finding is { Verdict: Verdict.Incompatible, Touches: Touches.Kiln or Touches.Others }));
            after.Add(its);
        }

        return after.IsWorse || beforeAll is null ? after : OnLoad(after, changed, beforeAll);
    }

    private static After OnLoad(After after, CheckedLoad changed, Dictionary<string, Verdict> beforeAll)
    {
        var onLoad = CoFiringCheck.OnLoad(changed);
        after.IsWorse = IsWorse(beforeAll, onLoad);
        after.Add(onLoad);
        return after;
    }

    private static bool IsWorse(Dictionary<string, Verdict> before, IReadOnlyList<Finding> after)
    {
        foreach (var finding in after)
            if (finding.Verdict < before.GetValueOrDefault(finding.Rule, Verdict.Compatible)) return true;
        return false;
    }

    private static Dictionary<string, Verdict> WorstByRule(IReadOnlyList<Finding> findings)
    {
        var worst = new Dictionary<string, Verdict>(StringComparer.Ordinal);
        foreach (var finding in findings)
        {
            var sofar = worst.GetValueOrDefault(finding.Rule, Verdict.Compatible);
            worst[finding.Rule] = finding.Verdict < sofar ? finding.Verdict : sofar;
        }

        return worst;
    }
}
