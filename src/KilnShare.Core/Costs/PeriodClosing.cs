using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using NodaTime;
using NodaTime.Text;

namespace KilnShare.Core.Costs;

/// <summary>A month that a studio has closed, and all before it: no entry may be dated into it any more, and its statements stay as they are.</summary>
public sealed class PeriodClosing(
    Id<Studio> studioId, string month, Instant closedUntil, long entries, decimal amountMinor, ClosingNames names, Id<Member> closedBy, Instant closedAt)
{
    private static readonly YearMonthPattern Pattern = YearMonthPattern.CreateWithInvariantCulture("uuuu'-'MM");

    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The month, as 2026-01.</summary>
    public string Month { get; private set; } = month;

    /// <summary>Its end by the studio's clock: entries dated before this stand.</summary>
    public Instant ClosedUntil { get; private set; } = closedUntil;

    /// <summary>How many entries are dated before its end.</summary>
    public long Entries { get; private set; } = entries;

    /// <summary>What these add up to, so that a change made past every wall is seen.</summary>
    public decimal AmountMinor { get; private set; } = amountMinor;

    /// <summary>What things were called then.</summary>
    public ClosingNames Names { get; private set; } = names;

    /// <summary>Who closed it.</summary>
    public Id<Member> ClosedBy { get; private set; } = closedBy;

    /// <summary>When.</summary>
    public Instant ClosedAt { get; private set; } = closedAt;

    /// <summary>The month's end by a zone's clock; null where the text is no month.</summary>
    public static Instant? EndOf(string month, DateTimeZone zone) => Pattern.Parse(month) is { Success: true } parsed
        ? zone.AtStartOfDay(parsed.Value.OnDayOfMonth(1).PlusMonths(1)).ToInstant() : null;

    /// <summary>Refuses to close what is not over, or is closed with a later month already.</summary>
    /// <param name="until">The end of the month to be closed.</param>
    /// <param name="last">The latest closing; null where there is none.</param>
    /// <param name="now">The time.</param>
    public static Refusal? Check(Instant until, PeriodClosing? last, Instant now)
    {
        if (until > now)
            return Refusal.Rule("costs.month-not-over", "This month is not over yet: its entries are still being written. Close it when it has ended.");
        return last is not null && until <= last.ClosedUntil
            ? Refusal.Conflict("costs.month-closed", $"This month is closed already, with {last.Month}.") : null;
    }
}

/// <summary>What a studio, its people and its kilns were called when a month was closed, so that papers of that time stay as they are.</summary>
/// <param name="Studio">The studio.</param>
/// <param name="TimeZone">Its clock.</param>
/// <param name="Members">Members by id.</param>
/// <param name="Kilns">Kilns by id.</param>
public sealed record ClosingNames(string Studio, string TimeZone, IReadOnlyDictionary<string, string> Members, IReadOnlyDictionary<string, string> Kilns);
