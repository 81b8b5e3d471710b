using KilnShare.Core.Costs;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>A closed month: no entry is dated into it, or before it, any more, and its statements stay as they are.</summary>
public sealed record ClosingAnswer
{
    /// <summary>The month.</summary>
    /// <example>2026-01</example>
    public required string Month { get; init; }

    /// <summary>Its end by the studio's clock; what comes up later is written from then on.</summary>
    public required Instant ClosedUntil { get; init; }

    /// <summary>How many entries the books hold up to then.</summary>
    public required long Entries { get; init; }

    /// <summary>What these add up to, minor units as a decimal number; null where it is withheld.</summary>
    public required decimal? AmountMinor { get; init; }

    /// <summary>What is withheld, and whom to ask; null where nothing is.</summary>
    public required string? Withheld { get; init; }

    /// <summary>Who closed it.</summary>
    public required Guid ClosedBy { get; init; }

    /// <summary>When.</summary>
    public required Instant ClosedAt { get; init; }

    /// <summary>The answer for a closing.</summary>
    /// <param name="closing">The closing.</param>
    /// <param name="isShown">True for a reader of everybody's amounts: what a month added to the sum may be one member's payment.</param>
    public static ClosingAnswer Of(PeriodClosing closing, bool isShown = true) => new()
    {
        Month = closing.Month,
        ClosedUntil = closing.ClosedUntil,
        Entries = closing.Entries,
        AmountMinor = isShown ? closing.AmountMinor : null,
        Withheld = isShown
            ? null : "This studio does not show you what the books add up to, since a month's difference may be one member's payment. Ask a technician.",
        ClosedBy = closing.ClosedBy.Value,
        ClosedAt = closing.ClosedAt,
    };
}
