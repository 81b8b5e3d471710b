using KilnShare.Core.Cones;

namespace KilnShare.Core.CoFiring;

/// <summary>From findings to verdicts and the gate.</summary>
internal static class Verdicts
{
    public static CoFiringAnswer Answer(
        IReadOnlyList<Ware> pieces, IReadOnlyList<Finding>[] own, IReadOnlyList<Finding> between, ConeRange? window)
    {
        var beside = BesideEach(between);
        var answers = new PieceAnswer[pieces.Count];
        for (var i = 0; i < answers.Length; i++)
        {
            var verdict = Worse(Worst(own[i], IsShared), beside.GetValueOrDefault(pieces[i].Id, Verdict.Compatible));
            Verdict? use = pieces[i].IsForFood ? Worse(Worst(own[i], touches => touches == Touches.Use), Verdict.Caution) : null;
            answers[i] = new PieceAnswer(pieces[i].Id, verdict, Worst(own[i], touches => touches == Touches.Self), use, own[i]);
        }

        var load = answers.Aggregate(Worst(between, IsShared), (worst, piece) => Worse(worst, piece.Verdict));
        return new CoFiringAnswer(load, GateOf([.. own.SelectMany(findings => findings), .. between]), answers, between, window);
    }

    /// <summary>Any incompatible refuses; then what asks the technician, then what asks the member.</summary>
    public static Gate GateOf(IReadOnlyList<Finding> findings)
    {
        var gate = Gate.Open;
        foreach (var finding in findings)
        {
            var its = finding switch
            {
                { Verdict: Verdict.Incompatible } => Gate.Refused,
                { Asks: Asks.Technician } => Gate.NeedsTechnician,
                { Asks: Asks.Member } => Gate.NeedsAccepts,
                _ => Gate.Open,
            };
            if (its < gate) gate = its;
        }
        return gate;
    }

    private static bool IsShared(Touches touches) => touches is Touches.Kiln or Touches.Others;

    private static Verdict Worse(Verdict a, Verdict b) => a < b ? a : b;

    private static Verdict Worst(IReadOnlyList<Finding> findings, Func<Touches, bool> counts)
    {
        var worst = Verdict.Compatible;
        foreach (var finding in findings)
            if (counts(finding.Touches)) worst = Worse(worst, finding.Verdict);
        return worst;
    }

    private static Dictionary<string, Verdict> BesideEach(IReadOnlyList<Finding> between)
    {
        var beside = new Dictionary<string, Verdict>(StringComparer.Ordinal);
        foreach (var finding in between)
        {
            if (!IsShared(finding.Touches)) continue;
            foreach (var id in finding.Pieces) beside[id] = Worse(beside.GetValueOrDefault(id, Verdict.Compatible), finding.Verdict);
        }
        return beside;
    }
}
