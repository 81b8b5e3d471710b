namespace KilnShare.Core.Studios;

/// <summary>Who in a studio reads everybody's amounts in what firings cost. Whoever does not, sees less; see Costs/AmountsView.</summary>
public enum AmountsShownTo
{
    /// <summary>Owners and technicians.</summary>
    Technicians,

    /// <summary>Potters too.</summary>
    Potters,

    /// <summary>Viewers too.</summary>
    Everyone,
}
