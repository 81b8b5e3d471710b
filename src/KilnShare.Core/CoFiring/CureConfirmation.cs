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
    private readonly RuleWords[] before;
    private readonly RuleWords beforeOnLoad;
    private readonly Dictionary<(CureChange, string?, Cone?, object?), After> known = [];
    private readonly Dictionary<Cure, After> elsewhere = new(ReferenceEqualityComparer.Instance);
    private readonly Lazy<(HashSet<int> Here, HashSet<int> There)> suited;

    public CureConfirmation(CheckedLoad load, IReadOnlyList<Finding>[] own, IReadOnlyList<Finding> between)
    {
        this.load = load;
        places = Enumerable.Range(0, load.Pieces.Count).ToDictionary(i => load.Pieces[i].Id, StringComparer.Ordinal);
        before = Array.ConvertAll(own, RuleWords.Of);
        beforeOnLoad = RuleWords.Of(between);
        suited = new(() => ([.. ConeNamesake.Suited(load, load.Firing.Cone)], [.. ConeNamesake.Suited(load, load.Firing.Cone.Namesake!.Value)]));
    }

    /// <summary>
    /// What is said once a change is made: whether it is worse for somebody, and what each rule still says of which piece of the changed load.
    /// </summary>
    private readonly record struct After(bool IsWorse, RuleWords[] Own, IReadOnlyList<Finding> OnLoad);

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
            if (!after.IsWorse && IsSilent(after, finding, cure)) holding.Add(cure);
        }

        return holding;
    }

    // A cure of the firing is looked at on every piece, a cure of pieces on those alone.
    private bool IsSilent(After after, Finding finding, Cure cure)
    {
        var of = cure.Pieces.Count == 0 ? finding.Pieces : cure.Pieces;
        var isSaid = cure.Pieces.Count > 0 || of.Count == 0
            ? Array.Exists(after.Own, words => words.Has(finding.Rule)) : of.Any(id => after.Own[places[id]].Has(finding.Rule));
        return !isSaid && !after.OnLoad.Any(
            one => one.Rule == finding.Rule && one.Verdict != Verdict.Compatible && (of.Count == 0 || one.Pieces.Intersect(of, StringComparer.Ordinal).Any()));
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
        if (cure.Pieces.Count == 0) return Said(new CheckedLoad(cure.Apply(load.Firing, load.Pieces).Firing, load.Pieces, load.Evidence));
        // What is done to a piece is looked at on that piece: no rule on the whole load hears more of it than before.
        var (firing, pieces) = cure.Apply(load.Firing, [.. cure.Pieces.Select(id => load.Pieces[places[id]])]);
        return OnThose(new CheckedLoad(firing, pieces, load.Evidence), CoFiringRules.Hearing(cure.Change));
    }

    private After OnThose(CheckedLoad changed, PieceRule[] hearing)
    {
        var (own, isWorse) = (new RuleWords[changed.Pieces.Count], false);
        for (var i = 0; i < own.Length; i++)
        {
            var former = before[places[changed.Pieces[i].Id]];
            own[i] = RuleWords.Of(CoFiringCheck.OnPiece(changed, i, hearing)).Beside(former, hearing);
            isWorse |= own[i].IsWorseThan(former);
        }

        return new After(isWorse, own, []);
    }

    private After Elsewhere(Cure cure)
    {
        var there = load.Firing with { Kind = cure.Kind!.Value, Cone = cure.Cone!.Value, Atmosphere = cure.Atmosphere!.Value };
        var isOfThisKind = cure.Kind == load.Firing.Kind && cure.Cone == load.Firing.Cone;
        // Another cone has another schedule, and a history of its own.
        if (!isOfThisKind) there = there with { BisqueStart = null, Schedule = null, EarlierCones = [] };
        var moved = new CheckedLoad(there, [.. cure.Pieces.Select(id => load.Pieces[places[id]])], load.Evidence);
        var after = there == load.Firing ? OnLoad([], moved) : Said(moved, mayBeRefused: false);
        return after with { IsWorse = after.IsWorse || LeavesDoubt(cure) };
    }

    // Of those who stay the other cone of that number may suit more, once the others have left: then a question is left behind.
    private bool LeavesDoubt(Cure cure)
    {
        if (load.Firing.ConeIsMeant || load.Firing.Cone.Namesake is null || beforeOnLoad.Has(ConeNamesake.RuleName)) return false;
        int[] leaving = [.. cure.Pieces.Select(id => places[id])];
        return suited.Value.There.Count - leaving.Count(suited.Value.There.Contains) > suited.Value.Here.Count - leaving.Count(suited.Value.Here.Contains);
    }

    private After Said(CheckedLoad changed, bool mayBeRefused = true)
    {
        var own = new RuleWords[changed.Pieces.Count];
        for (var i = 0; i < own.Length; i++)
        {
            var its = CoFiringCheck.OnPiece(changed, i);
            own[i] = RuleWords.Of(its);
            if (own[i].IsWorseThan(before[places[changed.Pieces[i].Id]])
                || (!mayBeRefused && its.Exists(finding => finding is { Verdict: Verdict.Incompatible, Touches: Touches.Kiln or Touches.Others })))
                return new After(true, own, []);
        }

        return OnLoad(own, changed);
    }

    private After OnLoad(RuleWords[] own, CheckedLoad changed)
    {
        var onLoad = CoFiringCheck.OnLoad(changed);
        return new After(RuleWords.Of(onLoad).IsWorseThan(beforeOnLoad), own, onLoad);
    }
}
