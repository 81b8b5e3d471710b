using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Storage.Costs;

/// <summary>Reads a studio's books; sums are made by the database over the indexes on debit and credit.</summary>
public static class LedgerReading
{
    /// <summary>What an account stood at just before an instant: debits less credits.</summary>
    public static async Task<Int128> BalanceBefore(this KilnShareDb db, Id<Studio> studio, Account account, Instant before, CancellationToken cancellation)
    {
        var entries = db.Entries(studio).Where(e => e.At < before);
        var debits = await entries.Where(e => e.Debit == account).SumAsync(e => e.AmountMinor, cancellation);
        var credits = await entries.Where(e => e.Credit == account).SumAsync(e => e.AmountMinor, cancellation);
        return (Int128)debits - credits;
    }

    /// <summary>What an account stands at now.</summary>
    public static Task<Int128> Balance(this KilnShareDb db, Id<Studio> studio, Account account, CancellationToken cancellation) =>
        db.BalanceBefore(studio, account, Instant.FromUtc(9999, 1, 1, 0, 0), cancellation);

    /// <summary>An account's own entries of a period, oldest first, so many at the most.</summary>
    public static Task<List<LedgerEntry>> EntriesOf(
        this KilnShareDb db, Id<Studio> studio, Account account, Interval period, int most, CancellationToken cancellation)
    {
        var (start, end) = (period.Start, period.End);
        var within = db.Entries(studio).Where(e => e.At >= start && e.At < end);
        return within.Where(e => e.Debit == account).Concat(within.Where(e => e.Credit == account))
            .OrderBy(e => e.At).ThenBy(e => EF.Property<Guid>(e, CostTables.Id)).Take(most).ToListAsync(cancellation);
    }

    /// <summary>Keeps others from moving this member's money until the transaction ends, so that a balance that was looked at stands.</summary>
    public static Task HoldAccount(this KilnShareDb db, Id<Studio> studio, Id<Member> member, CancellationToken cancellation) =>
        db.Database.ExecuteSqlAsync($"select pg_advisory_xact_lock(hashtextextended({studio + ":" + member}, 0))", cancellation);

    /// <summary>Waits until nobody writes an entry any more, and keeps everybody from it until the transaction ends.</summary>
    public static Task HoldBooks(this KilnShareDb db, Id<Studio> studio, CancellationToken cancellation) =>
        db.Database.ExecuteSqlAsync($"select books_alone({studio.Value})", cancellation);

    /// <summary>How many entries are dated before an instant, and what they add up to.</summary>
    public static async Task<(long Entries, decimal AmountMinor)> SumBefore(
        this KilnShareDb db, Id<Studio> studio, Instant before, CancellationToken cancellation)
    {
        var entries = db.Entries(studio).Where(e => e.At < before);
        return (await entries.LongCountAsync(cancellation), decimal.Truncate(await entries.SumAsync(e => (decimal)e.AmountMinor, cancellation)));
    }

    internal static IQueryable<LedgerEntry> Entries(this KilnShareDb db, Id<Studio> studio) =>
        db.Set<LedgerEntry>().AsNoTracking().Where(e => EF.Property<Id<Studio>>(e, CostTables.StudioId) == studio);
}
