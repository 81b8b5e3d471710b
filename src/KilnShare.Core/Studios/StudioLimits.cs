namespace KilnShare.Core.Studios;

/// <summary>How long and how large things of a studio may be; read by validators, check constraints and the document.</summary>
public static class StudioLimits
{
    /// <summary>Code points in a name.</summary>
    public const int MaxName = 120;

    /// <summary>Code points in a note or a reason.</summary>
    public const int MaxNote = 2000;

    /// <summary>Code points in the name of a time zone.</summary>
    public const int MaxTimeZone = 64;

    /// <summary>Characters in an idempotency key.</summary>
    public const int MaxIdempotencyKey = 100;

    /// <summary>Dearest kWh, major units.</summary>
    public const int MaxPerKwh = 1_000_000;
}
