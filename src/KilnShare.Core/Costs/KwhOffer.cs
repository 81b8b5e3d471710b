namespace KilnShare.Core.Costs;

/// <summary>
/// Energy by kWh asks for a kiln whose heat is known: it is offered once the kiln's own firings have been learnt from; till then volume holds.
/// </summary>
public static class KwhOffer
{
    /// <summary>
    /// A kiln counts as learnt from so many metered firings on. Common practice, no source: a median of three is not moved by one misread meter.
    /// </summary>
    public const int LeastFirings = 3;

    /// <summary>True once the kiln is learnt.</summary>
    public static bool Holds(int firings) => firings >= LeastFirings;

    /// <summary>By what energy is divided in this firing: as the rules say, but by volume where they say kWh and the kiln is not learnt.</summary>
    public static CostBasis EnergyBasis(CostRules rules, int? learntFirings) =>
        rules.EnergyBasis == CostBasis.Kwh && learntFirings is { } firings && !Holds(firings) ? CostBasis.Volume : rules.EnergyBasis;

    /// <summary>Says why volume holds instead; null where the rules hold as they stand.</summary>
    internal static SplitNote? NoteOf(FiringCostBasis basis) => EnergyBasis(basis.Rules, basis.LearntFirings) == basis.Rules.EnergyBasis ? null : new SplitNote(
        "costs.kiln-not-learnt", CostRules.EnergyPart,
        $"The studio divides energy by kWh once a kiln is learnt; {basis.LearntFirings} of the {LeastFirings} metered firings with a schedule that it takes "
            + $"are there, so it is divided by room.");
}
