namespace KilnShare.Core.CoFiring;

/// <summary>Who may fire with whom.</summary>
public static class CoFiringCheck
{
    /// <summary>Every rule's word on a load, with the verdicts and the gate that follow.</summary>
    /// <param name="firing">The firing.</param>
    /// <param name="pieces">One piece or more, each with an id of its own.</param>
    /// <param name="evidence">The studio's own outcomes; it may settle what is unknown and warn of what went wrong, never lift a hard rule.</param>
    /// <exception cref="ArgumentException">No pieces, or two of one id.</exception>
    public static CoFiringAnswer Check(FiringPlan firing, IReadOnlyList<Ware> pieces, IReadOnlyList<Evidence>? evidence = null)
    {
        if (pieces.Count == 0) throw new ArgumentException("A load has at least one piece.", nameof(pieces));
        if (pieces.Select(piece => piece.Id).Distinct(StringComparer.Ordinal).Count() != pieces.Count)
            throw new ArgumentException("Each piece has an id of its own.", nameof(pieces));
        var load = new CheckedLoad(firing, pieces, evidence is null ? EvidenceBook.None : new EvidenceBook(evidence));
        var own = new IReadOnlyList<Finding>[pieces.Count];
        for (var i = 0; i < own.Length; i++) own[i] = OtherFirings.Offer(load, i, OnPiece(load, i));
        var between = OnLoad(load);
        var cures = new CureConfirmation(load, own, between);
        for (var i = 0; i < own.Length; i++) own[i] = cures.Confirmed(own[i]);
        between = cures.Confirmed(between);
        return Verdicts.Answer(pieces, own, between, load.Window.ToRange());
    }

    internal static IReadOnlyList<Finding> OnLoad(CheckedLoad load) => [.. CoFiringRules.OnLoads.SelectMany(rule => rule.Look(load))];

    internal static List<Finding> OnPiece(CheckedLoad load, int index) => OnPiece(load, index, CoFiringRules.OnPieces);

    internal static List<Finding> OnPiece(CheckedLoad load, int index, PieceRule[] rules)
    {
        var found = new List<Finding>();
        foreach (var rule in rules) found.AddRange(rule.Look(load, index));
        return load.Evidence.Raise(load.Firing, load.Pieces[index], load.HasOthersWare ? found.ConvertAll(BesideOthersWare) : found);
    }

    // What may harm another member's ware is not for its own member to accept.
    private static Finding BesideOthersWare(Finding finding) =>
        finding is { Touches: Touches.Others, Verdict: Verdict.Caution, Asks: Asks.Member } ? finding with { Asks = Asks.Technician } : finding;
}
