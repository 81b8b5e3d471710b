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

    /// <summary>What these add up to, minor units as a decimal number.</summary>
    public required decimal AmountMinor { get; init; }

    /// <summary>Who closed it.</summary>
    public required Guid ClosedBy { get; init; }

    /// <summary>When.</summary>
    public required Instant ClosedAt { get; init; }

    /// <summary>The answer for a closing.</summary>
    public static ClosingAnswer Of(PeriodClosing closing) => new()
    {
        Month = closing.Month,
        ClosedUntil = closing.ClosedUntil,
        Entries = closing.Entries,
        AmountMinor = closing.AmountMinor,
        ClosedBy = closing.ClosedBy.Value,
        ClosedAt = closing.ClosedAt,
    };
}
