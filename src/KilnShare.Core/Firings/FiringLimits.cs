namespace KilnShare.Core.Firings;

/// <summary>How long a firing may be; read by the validator and the document.</summary>
public static class FiringLimits
{
    /// <summary>Longest firing, and longest cooling, hours.</summary>
    public const decimal MostHours = 500m;
}
