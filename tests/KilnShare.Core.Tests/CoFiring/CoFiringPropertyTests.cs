using CsCheck;
using KilnShare.Core.CoFiring;

namespace KilnShare.Core.Tests.CoFiring;

public sealed class CoFiringPropertyTests
{
    private const long Loads = 2000;

    private static readonly CureChange[] PieceChanges = [CureChange.Catcher, CureChange.BareFoot, CureChange.NotForFood, CureChange.NoStilts,
        CureChange.LidApart];

    [Fact]
    public void After_a_cure_its_rule_is_silent_and_no_other_says_worse()
    {
        var tried = new HashSet<CureChange>();
        RandomLoads.Any.Sample(
            load =>
            {
                foreach (var finding in CoFiringCheck.Check(load.Firing, load.Pieces).Findings())
                {
                    foreach (var cure in finding.Cures)
                    {
                        lock (tried) tried.Add(cure.Change);
                        if (!Holds(cure, finding, load.Firing, load.Pieces)) return false;
                    }
                }

                return true;
            },
            iter: Loads, print: Print);
        CureChange[] untried = [.. Enum.GetValues<CureChange>().Except(tried)];
        Assert.True(untried.Length == 0, $"Never offered: {string.Join(", ", untried)}");
    }

    [Fact]
    public void A_change_of_a_piece_is_heard_by_no_rule_but_those_asked_again() => RandomLoads.Any.Sample(
        load => PieceChanges.All(
            change => Unheard(change, load.Firing, load.Pieces[0]) == Unheard(change, load.Firing, Changed(change, load.Firing, load.Pieces[0]))),
        iter: Loads, print: Print);

    private static string Unheard(CureChange change, FiringPlan firing, Ware piece)
    {
        var asked = CoFiringRules.Hearing(change);
        var load = new CheckedLoad(firing, [piece], EvidenceBook.None);
        return string.Join('\n', CoFiringRules.OnPieces.Except(asked).SelectMany(rule => rule.Look(load, 0))
            .Select(finding => $"{finding.Rule} {finding.Touches} {finding.Verdict} {finding.Asks} {finding.Message}"));
    }

    private static Ware Changed(CureChange change, FiringPlan firing, Ware piece) =>
        new Cure(change, [piece.Id]) { Amount = 9m }.Apply(firing, [piece]).Pieces.FirstOrDefault(piece);

    [Fact]
    public void A_piece_sent_to_another_firing_meets_nothing_incompatible_there() => RandomLoads.Any.Sample(
        load =>
        {
            foreach (var finding in CoFiringCheck.Check(load.Firing, load.Pieces).Pieces.SelectMany(piece => piece.Findings))
            {
                foreach (var cure in finding.Cures.Where(cure => cure.Change == CureChange.AnotherFiring))
                {
                    // Another cone has a schedule of its own.
                    var other = load.Firing with { Kind = cure.Kind!.Value, Cone = cure.Cone!.Value, Atmosphere = cure.Atmosphere!.Value };
                    if (other.Kind != load.Firing.Kind || other.Cone != load.Firing.Cone) other = other with { Schedule = null };
                    var there = CoFiringCheck.Check(other, [load.Pieces.Single(piece => Same(piece.Id, cure.Pieces[0]))]);
                    if (there.Verdict == Verdict.Incompatible || there.Find(finding.Rule) is not null) return false;
                }
            }

            return true;
        },
        iter: Loads, print: Print);

    [Fact]
    public void Verdicts_and_gate_follow_from_the_findings_by_the_contract() => RandomLoads.Any.Sample(
        load =>
        {
            var answer = CoFiringCheck.Check(load.Firing, load.Pieces);
            foreach (var piece in answer.Pieces)
            {
                var all = piece.Findings.Concat(answer.Between.Where(finding => finding.Pieces.Contains(piece.Id, StringComparer.Ordinal))).ToArray();
                if (piece.Verdict != Worst(all, Touches.Kiln, Touches.Others) || piece.Self != Worst(all, Touches.Self)) return false;
                var forFood = load.Pieces.Single(ware => Same(ware.Id, piece.Id)).ForFood == true;
                if (piece.Use != (forFood ? (Verdict)Math.Min((int)Verdict.Caution, (int)Worst(all, Touches.Use)) : null)) return false;
            }

            return answer.Verdict == Worst([.. answer.Findings()], Touches.Kiln, Touches.Others) && answer.Gate == GateOf([.. answer.Findings()]);
        },
        iter: Loads, print: Print);

    [Fact]
    public void The_window_is_the_cones_at_which_no_range_speaks()
    {
        string[] ranges =
        [
            "body-top-cone", "body-bottom-cone", "glaze-top-cone", "glaze-bottom-cone", "fired-layer-top-cone", "cone-series-differ",
        ];
        RandomLoads.Any.Where(load => load.Firing.Kind != KilnShare.Core.Firings.FiringKind.Bisque).Sample(
            load =>
            {
                var window = CoFiringCheck.Check(load.Firing, load.Pieces).ConeWindow;
                return KilnShare.Core.Cones.Cone.All.All(cone =>
                {
                    var at = CoFiringCheck.Check(load.Firing with { Cone = cone }, load.Pieces);
                    // Underglaze that stays put only changes above its range, and like cones of two series are only noted.
                    return (window?.Holds(cone) ?? false) == !at.Findings().Any(finding => ranges.Contains(finding.Rule, StringComparer.Ordinal)
                        && finding.Verdict != Verdict.Compatible && finding is not { Verdict: Verdict.Unknown, Touches: Touches.Self });
                });
            },
            iter: 200, print: Print);
    }

    [Fact]
    public void The_order_of_the_pieces_changes_nothing_said_of_each() => RandomLoads.Any.Sample(
        load =>
        {
            var there = CoFiringCheck.Check(load.Firing, load.Pieces);
            var back = CoFiringCheck.Check(load.Firing, [.. load.Pieces.Reverse()]);
            return there.Gate == back.Gate && there.Verdict == back.Verdict && there.ConeWindow == back.ConeWindow
                && there.Pieces.Select(piece => (piece.Id, piece.Verdict, piece.Self, piece.Use))
                    .SequenceEqual(back.Pieces.Reverse().Select(piece => (piece.Id, piece.Verdict, piece.Self, piece.Use)));
        },
        iter: Loads, print: Print);

    private static bool Same(string a, string b) => string.Equals(a, b, StringComparison.Ordinal);

    /// <summary>True where after the cure its rule is silent on those it is done to, and no finding of anybody is worse than before.</summary>
    internal static bool Holds(Cure cure, Finding finding, FiringPlan firing, Ware[] pieces, params Evidence[] evidence)
    {
        var before = CoFiringCheck.Check(firing, pieces, evidence).Findings().ToArray();
        var (changed, rest) = cure.Apply(firing, pieces);
        var after = rest.Count == 0
            ? [] : CoFiringCheck.Check(changed, rest, evidence).Findings().Where(again => again.Verdict != Verdict.Compatible).ToArray();
        var concerned = cure.Pieces.Count == 0 ? finding.Pieces : cure.Pieces;
        var speaks = after.Any(
            again => Same(again.Rule, finding.Rule) && (concerned.Count == 0 || again.Pieces.Intersect(concerned, StringComparer.Ordinal).Any()));
        return !speaks && after.All(again => before.Any(was => Same(was.Rule, again.Rule) && was.Verdict <= again.Verdict
            && (again.Pieces.Count == 0 || was.Pieces.Intersect(again.Pieces, StringComparer.Ordinal).Any())));
    }

    private static Verdict Worst(IEnumerable<Finding> findings, params Touches[] touches) =>
        findings.Where(finding => touches.Contains(finding.Touches)).Select(finding => finding.Verdict).DefaultIfEmpty(Verdict.Compatible).Min();

    private static Gate GateOf(Finding[] findings)
    {
        if (findings.Any(finding => finding.Verdict == Verdict.Incompatible)) return Gate.Refused;
        if (findings.Any(finding => finding.Asks == Asks.Technician)) return Gate.NeedsTechnician;
        return findings.Any(finding => finding.Asks == Asks.Member) ? Gate.NeedsAccepts : Gate.Open;
    }

    private static string Print((FiringPlan Firing, Ware[] Pieces) load) =>
        $"{load.Firing}\n{string.Join('\n', load.Pieces.Select(piece => $"{piece} [{string.Join("; ", piece.Layers)}]"))}\n"
        + string.Join('\n', CoFiringCheck.Check(load.Firing, load.Pieces).Findings()
            .Select(finding => $"{finding.Rule} {finding.Verdict} [{string.Join(',', finding.Pieces)}] {string.Join(" | ", finding.Cures)}"));
}
