using KilnShare.Core.CoFiring.Rules;

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
    private readonly Dictionary<object, After> known = [];
    private readonly Lazy<(HashSet<int> Here, HashSet<int> There)> suited;

    public CureConfirmation(CheckedLoad load, IReadOnlyList<Finding>[] own, IReadOnlyList<Finding> between)
    {
        this.load = load;
        places = Enumerable.Range(0, load.Pieces.Count).ToDictionary(i => load.Pieces[i].Id, StringComparer.Ordinal);
        before = [.. own.Select(WorstByRule)];
        beforeOnLoad = WorstByRule(between);
        suited = new(() => ([.. ConeNamesake.Suited(load, load.Firing.Cone)], [.. ConeNamesake.Suited(load, load.Firing.Cone.Namesake!.Value)]));
    }

    /// <summary>What is said once a change is made.</summary>
    private sealed record After(bool IsWorse, IReadOnlyList<Finding> Findings);

    /// <summary>The findings with the cures that hold.</summary>
    public IReadOnlyList<Finding> Confirmed(IReadOnlyList<Finding> findings) =>
        [.. findings.Select(finding => finding.Cures.Count == 0 ? finding : finding with { Cures = [.. finding.Cures.Where(cure => Holds(finding, cure))] })];

    private bool Holds(Finding finding, Cure cure)
    {
        // Many findings offer the same change of the firing, and those of one piece the same other firing.
        object key = cure.Pieces.Count == 0 ? (cure.Change, cure.Cone, cure.Series) : cure;
        if (!known.TryGetValue(key, out var after)) known[key] = after = Make(cure);
        var concerned = cure.Pieces.Count == 0 ? finding.Pieces : cure.Pieces;
        return !after.IsWorse && !after.Findings.Any(again => again.Verdict != Verdict.Compatible && string.Equals(again.Rule, finding.Rule, StringComparison.Ordinal)
            && (concerned.Count == 0 || again.Pieces.Intersect(concerned, StringComparer.Ordinal).Any()));
    }

    private After Make(Cure cure)
    {
        if (cure.Change == CureChange.AnotherFiring) return Elsewhere(cure);
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
        var said = Said(new CheckedLoad(there, [.. cure.Pieces.Select(id => load.Pieces[places[id]])], load.Evidence), beforeOnLoad);
        var isRefused = !isOfThisKind && said.Findings.Any(finding => finding is { Verdict: Verdict.Incompatible, Touches: Touches.Kiln or Touches.Others });
        return said with { IsWorse = said.IsWorse || isRefused || LeavesDoubt(cure) };
    }

    // Of those who stay the other cone of that number may suit more, once the others have left: then a question is left behind.
    private bool LeavesDoubt(Cure cure)
    {
        if (load.Firing.ConeIsMeant || load.Firing.Cone.Namesake is null || beforeOnLoad.ContainsKey(ConeNamesake.RuleName)) return false;
        int[] leaving = [.. cure.Pieces.Select(id => places[id])];
        return suited.Value.There.Count - leaving.Count(suited.Value.There.Contains) > suited.Value.Here.Count - leaving.Count(suited.Value.Here.Contains);
    }

    private After Said(CheckedLoad changed, Dictionary<string, Verdict>? beforeAll)
    {
        var all = new List<Finding>();
        for (var i = 0; i < changed.Pieces.Count; i++)
        {
            var its = CoFiringCheck.OnPiece(changed, i);
            if (IsWorse(before[places[changed.Pieces[i].Id]], its)) return new After(true, its);
            all.AddRange(its);
        }

        if (beforeAll is null) return new After(false, all);
        var onLoad = CoFiringCheck.OnLoad(changed);
        return new After(IsWorse(beforeAll, onLoad), [.. all, .. onLoad]);
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
            var known = worst.GetValueOrDefault(finding.Rule, Verdict.Compatible);
            worst[finding.Rule] = finding.Verdict < known ? finding.Verdict : known;
        }

        return worst;
    }
}
