using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Storage.Costs;

/// <summary>A studio's year out of its books, summed by the database to one row a month, kind, pair of accounts and subject.</summary>
public static class YearReading
{
    /// <summary>The year.</summary>
    public static async Task<StudioYear> ReadYear(this KilnShareDb db, Studio studio, int year, CancellationToken cancellation)
    {
        var zone = DateTimeZoneProviders.Tzdb[studio.TimeZone];
        var currency = Currency.Parse(studio.Currency)!.Value;
        var (start, end) = (zone.AtStartOfDay(new LocalDate(year, 1, 1)).ToInstant(), zone.AtStartOfDay(new LocalDate(year + 1, 1, 1)).ToInstant());
        var owed = await db.Database.SqlQuery<long>(
            $"""
            select (coalesce(sum(amount_minor) filter (where debit like 'Member:%'), 0) - coalesce(sum(amount_minor) filter (where credit like 'Member:%'), 0))::bigint as "Value"
            from ledger_entry where studio_id = {studio.StudioId.Value} and at < {start}
            """).SingleAsync(cancellation);
        var sums = await db.Database.SqlQuery<YearSum>(
            $"""
            select min(at) as at, kind, split_part(debit, ':', 1) as debit, split_part(credit, ':', 1) as credit, subject, sum(amount_minor)::bigint as amount_minor
            from ledger_entry
            where studio_id = {studio.StudioId.Value} and at >= {start} and at < {end} and not (debit like 'Member:%' and credit like 'Member:%')
            group by date_trunc('month', at at time zone {studio.TimeZone}), kind, split_part(debit, ':', 1), split_part(credit, ':', 1), subject
            """).ToListAsync(cancellation);
        return StudioYear.Of(year, zone, currency, sums.Select(s => s.AsEntry(currency)), owed);
    }

    private sealed record YearSum(Instant At, string Kind, string Debit, string Credit, string Subject, long AmountMinor)
    {
        public LedgerEntry AsEntry(Currency currency) => new(
            At, Enum.Parse<EntryKind>(Kind), AccountOf(Debit), AccountOf(Credit), AmountMinor, currency, Subject, "");

        private static Account AccountOf(string kind) =>
            Enum.Parse<AccountKind>(kind) is var k && k == AccountKind.Member ? Account.OfMember("") : new Account(k);
    }
}
