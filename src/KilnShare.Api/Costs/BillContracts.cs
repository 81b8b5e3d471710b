using KilnShare.Core.Firings;

namespace KilnShare.Api.Costs;

/// <summary>One member's line of a firing's bill.</summary>
public sealed record BillLineContract
{
    /// <summary>The member; null for the studio.</summary>
    public required Guid? MemberId { get; init; }

    /// <summary>The member's name, or the studio's.</summary>
    public required string Name { get; init; }

    /// <summary>Copies in the load; null for the studio.</summary>
    public required long? Pieces { get; init; }

    /// <summary>Room they took, cm³.</summary>
    public required decimal? VolumeCm3 { get; init; }

    /// <summary>Of all the ware's room.</summary>
    public required decimal? VolumePercent { get; init; }

    /// <summary>Their weight, g; null where some was not weighed.</summary>
    public required decimal? MassG { get; init; }

    /// <summary>Minor units of each part.</summary>
    public required IReadOnlyList<SharePartContract> Parts { get; init; }

    /// <summary>Minor units, all parts together.</summary>
    public required long AmountMinor { get; init; }

    /// <summary>What it would have been by the meter, where members pay list prices; null otherwise.</summary>
    public required long? MeteredMinor { get; init; }
}

/// <summary>A firing's bill: what it cost, and how each share came about.</summary>
public sealed record BillAnswer
{
    /// <summary>The firing.</summary>
    public required Guid FiringId { get; init; }

    /// <summary>The firing in words.</summary>
    /// <example>glaze firing to cone 6, Front-loader by the window, 2026-01-12</example>
    public required string Firing { get; init; }

    /// <summary>The studio.</summary>
    public required string Studio { get; init; }

    /// <summary>How it came out.</summary>
    public required FiringOutcome Outcome { get; init; }

    /// <summary>The settlement's number; null while it is not settled, and the bill may still change.</summary>
    public required int? Revision { get; init; }

    /// <summary>Why it was corrected; null where it was not.</summary>
    public required string? CorrectedBecause { get; init; }

    /// <summary>ISO 4217 code.</summary>
    public required string Currency { get; init; }

    /// <summary>By the meter.</summary>
    public required decimal EnergyKwh { get; init; }

    /// <summary>Price of a kWh, major units.</summary>
    public required string PerKwh { get; init; }

    /// <summary>What the firing cost, part by part.</summary>
    public required IReadOnlyList<SharePartContract> Costs { get; init; }

    /// <summary>Who bears what.</summary>
    public required IReadOnlyList<BillLineContract> Lines { get; init; }

    /// <summary>Minor units.</summary>
    public required long TotalMinor { get; init; }

    /// <summary>Why each part is what it is.</summary>
    public required IReadOnlyDictionary<string, string> Reasons { get; init; }

    /// <summary>What members should know.</summary>
    public required IReadOnlyList<string> Notes { get; init; }
}
