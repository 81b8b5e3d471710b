using KilnShare.Core.Costs;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>How a line that a firing was settled with came about.</summary>
public sealed record StatementShareContract
{
    /// <summary>The member's copies in the load.</summary>
    public required long? Pieces { get; init; }

    /// <summary>Of all the ware's room, percent; null where that would tell another member's amount.</summary>
    public required decimal? SharePercent { get; init; }

    /// <summary>The energy this line is for, kWh; null where the line is not for energy.</summary>
    public required decimal? EnergyKwh { get; init; }

    /// <summary>
    /// What a kWh of the firing cost, major units; the mean of the bill where a tariff goes by the clock. Null where the line is not for energy.
    /// </summary>
    public required string? PerKwh { get; init; }

    /// <summary>The same in words.</summary>
    /// <example>3 pieces, 42.1 % of the room, 26.7 kWh at 0.312 EUR</example>
    public required string Words { get; init; }
}

/// <summary>One line of a statement.</summary>
public sealed record StatementLineContract
{
    /// <summary>When it was written.</summary>
    public required Instant At { get; init; }

    /// <summary>The day of it, in the studio's zone.</summary>
    /// <example>2026-01-14</example>
    public required string Date { get; init; }

    /// <summary>Why it was written.</summary>
    public required EntryKind Kind { get; init; }

    /// <summary>The firing, payment or incident it belongs to.</summary>
    public required Guid SubjectId { get; init; }

    /// <summary>The part of the cost.</summary>
    /// <example>energy</example>
    public required string Part { get; init; }

    /// <summary>What it is for.</summary>
    /// <example>glaze firing to cone 6, Front-loader by the window, 2026-01-12: energy</example>
    public required string What { get; init; }

    /// <summary>Words written down beside it; null where there are none.</summary>
    public required string? Note { get; init; }

    /// <summary>Share, pieces, energy and price behind a line of a firing; null for other lines, and for what was taken back.</summary>
    public required StatementShareContract? Share { get; init; }

    /// <summary>Minor units: above 0 a charge, below 0 a payment or credit.</summary>
    public required long AmountMinor { get; init; }

    /// <summary>What the account stood at after it.</summary>
    public required long BalanceMinor { get; init; }
}

/// <summary>What happened on a member's account over a period; the next period opens with this one's closing balance.</summary>
public sealed record StatementAnswer
{
    /// <summary>The studio.</summary>
    public required string Studio { get; init; }

    /// <summary>The member.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>The member's name.</summary>
    public required string Name { get; init; }

    /// <summary>ISO 4217 code.</summary>
    public required string Currency { get; init; }

    /// <summary>The first day, in the studio's zone.</summary>
    /// <example>2026-01-01</example>
    public required string From { get; init; }

    /// <summary>The day after the last.</summary>
    /// <example>2026-02-01</example>
    public required string To { get; init; }

    /// <summary>The last day.</summary>
    /// <example>2026-01-31</example>
    public required string LastDay { get; init; }

    /// <summary>When the last of its months was closed: from then on it stays as it is; null while a month of it is open.</summary>
    public required Instant? ClosedAt { get; init; }

    /// <summary>Minor units before the first day: above 0 the member owes the studio.</summary>
    public required long OpeningMinor { get; init; }

    /// <summary>What happened, oldest first.</summary>
    public required IReadOnlyList<StatementLineContract> Entries { get; init; }

    /// <summary>Minor units after the last day.</summary>
    public required long ClosingMinor { get; init; }
}
