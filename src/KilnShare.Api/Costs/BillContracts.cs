using KilnShare.Core.Costs;
using KilnShare.Core.Costs.Quotes;
using KilnShare.Core.Firings;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>One reason why a bill differs from its quote.</summary>
public sealed record QuoteStepContract
{
    /// <summary>What changed.</summary>
    public required QuoteCause Cause { get; init; }

    /// <summary>Minor units; above 0: the bill is higher for it.</summary>
    public required long AmountMinor { get; init; }

    /// <summary>The figures behind it.</summary>
    public required string Sentence { get; init; }
}

/// <summary>What a member was quoted when the last of the ware got its place, and how the bill came to differ.</summary>
public sealed record BilledQuoteContract
{
    /// <summary>When it was quoted.</summary>
    public required Instant At { get; init; }

    /// <summary>What was quoted.</summary>
    public required MinorRangeContract Quoted { get; init; }

    /// <summary>The bill less the likely figure, minor units.</summary>
    public required long DifferenceMinor { get; init; }

    /// <summary>How the difference comes about; its steps add up to it.</summary>
    public required IReadOnlyList<QuoteStepContract> Steps { get; init; }

    /// <summary>The contract for a member's share of a bill.</summary>
    internal static BilledQuoteContract Of(BookingQuote quote, FiringCosts costs, long amountMinor, AmountsView view) => new()
    {
        At = quote.At,
        Quoted = MinorRangeContract.Of(quote.Quoted.Whole),
        DifferenceMinor = amountMinor - quote.Quoted.Whole.LikelyMinor,
        Steps = [.. QuoteDifference.Of(quote.Quoted, quote.MemberId.ToString(), costs.Currency, costs.Basis, costs.Cost)
            .Select(s => new QuoteStepContract { Cause = s.Cause, AmountMinor = s.AmountMinor, Sentence = view.ShowsTotals
                ? s.Sentence : QuoteDifference.WithoutFigures(s.Cause) })],
    };
}

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

    /// <summary>Of all the ware's room; null where totals are withheld.</summary>
    public required decimal? VolumePercent { get; init; }

    /// <summary>Their weight, g; null where some was not weighed.</summary>
    public required decimal? MassG { get; init; }

    /// <summary>Minor units of each part.</summary>
    public required IReadOnlyList<SharePartContract> Parts { get; init; }

    /// <summary>Minor units, all parts together.</summary>
    public required long AmountMinor { get; init; }

    /// <summary>What it would have been by the meter, where members pay list prices; null otherwise.</summary>
    public required long? MeteredMinor { get; init; }

    /// <summary>What was quoted, and how the bill came to differ; null for the studio, and where nothing was quoted.</summary>
    public required BilledQuoteContract? Quote { get; init; }
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

    /// <summary>How much of everybody's amounts this answer shows; the studio's amountsShownTo says to whom all of them.</summary>
    public required AmountsShown Shown { get; init; }

    /// <summary>What is withheld, why, and whom to ask; null where nothing is.</summary>
    public required string? Withheld { get; init; }

    /// <summary>By the meter; null where totals are withheld.</summary>
    public required decimal? EnergyKwh { get; init; }

    /// <summary>Price of a kWh, major units; null where the energy was billed by the kiln's tariff, and where totals are withheld.</summary>
    public required string? PerKwh { get; init; }

    /// <summary>What the firing cost, part by part; empty where that is withheld.</summary>
    public required IReadOnlyList<SharePartContract> Costs { get; init; }

    /// <summary>Who bears what, as far as it is shown.</summary>
    public required IReadOnlyList<BillLineContract> Lines { get; init; }

    /// <summary>Minor units; null where totals are withheld.</summary>
    public required long? TotalMinor { get; init; }

    /// <summary>Why each part that is shown is what it is.</summary>
    public required IReadOnlyDictionary<string, string> Reasons { get; init; }

    /// <summary>What members should know.</summary>
    public required IReadOnlyList<string> Notes { get; init; }
}
