using KilnShare.Core.Costs;

namespace KilnShare.Api.Costs;

/// <summary>What a month, or the year, came to, minor units.</summary>
public sealed record PeriodSumContract
{
    /// <summary>Members' parts of firings.</summary>
    public required long ChargedMinor { get; init; }

    /// <summary>Value added tax on members' parts of firings; not among them.</summary>
    public required long VatMinor { get; init; }

    /// <summary>What the studio itself bore: unused room, discounts, credits, damage less what was made good.</summary>
    public required long StudioMinor { get; init; }

    /// <summary>Members' charges outside of firings, less credits.</summary>
    public required long AdjustedMinor { get; init; }

    /// <summary>Money in, less money out.</summary>
    public required long ReceivedMinor { get; init; }

    /// <summary>Firings settled.</summary>
    public required int Firings { get; init; }

    /// <summary>The contract of a sum.</summary>
    public static PeriodSumContract Of(PeriodSum sum) => new()
    {
        ChargedMinor = (long)sum.ChargedMinor,
        VatMinor = (long)sum.VatMinor,
        StudioMinor = (long)sum.StudioMinor,
        AdjustedMinor = (long)sum.AdjustedMinor,
        ReceivedMinor = (long)sum.ReceivedMinor,
        Firings = sum.Firings,
    };
}

/// <summary>A kiln's year.</summary>
public sealed record KilnYearContract
{
    /// <summary>The kiln.</summary>
    public required Guid KilnId { get; init; }

    /// <summary>Its name.</summary>
    public required string Name { get; init; }

    /// <summary>Firings of the year that are settled.</summary>
    public required int Firings { get; init; }

    /// <summary>What they took.</summary>
    public required decimal EnergyKwh { get; init; }

    /// <summary>What they cost, minor units.</summary>
    public required long CostMinor { get; init; }
}

/// <summary>A studio's calendar year, in its zone.</summary>
public sealed record StudioYearAnswer
{
    /// <summary>The year.</summary>
    public required int Year { get; init; }

    /// <summary>ISO 4217 code.</summary>
    public required string Currency { get; init; }

    /// <summary>January first.</summary>
    public required IReadOnlyList<PeriodSumContract> Months { get; init; }

    /// <summary>The whole year.</summary>
    public required PeriodSumContract Whole { get; init; }

    /// <summary>What members owe at the end of it, minor units.</summary>
    public required long OwedAtEndMinor { get; init; }

    /// <summary>By kiln; a firing counts in the year of its latest settlement.</summary>
    public required IReadOnlyList<KilnYearContract> Kilns { get; init; }
}
