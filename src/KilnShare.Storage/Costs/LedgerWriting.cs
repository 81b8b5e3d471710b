using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Storage.Costs;

/// <summary>Adds entries to a studio's books.</summary>
public static class LedgerWriting
{
    private const int CounterSize = 1 << 12;

    /// <summary>Entries of one transaction; their ids follow the time they were written and, within it, their order.</summary>
    public static void AddEntries(this KilnShareDb db, Id<Studio> studio, IEnumerable<LedgerEntry> entries)
    {
        var order = 0;
        foreach (var entry in entries)
        {
            var added = db.Entry(entry);
            added.Property(CostTables.StudioId).CurrentValue = studio;
            added.Property(CostTables.Id).CurrentValue = OrderedId(entry.At, order++);
            added.State = EntityState.Added;
        }
    }

    /// <summary>Makes one of the studio's own accounts where it is not there yet.</summary>
    public static Task OpenAccount(this KilnShareDb db, Id<Studio> studio, Account account, CancellationToken cancellation) => db.Database.ExecuteSqlAsync(
        $"insert into account (studio_id, account) values ({studio.Value}, {account.Kind.ToString()}) on conflict do nothing", cancellation);

    /// <summary>A UUID version 7 whose 12 bits after the time count (RFC 9562, section 6.2, method 1); a full counter moves on by a millisecond.</summary>
    private static Guid OrderedId(Instant at, int order)
    {
        Span<byte> bytes = stackalloc byte[16];
        Guid.CreateVersion7(at.ToDateTimeOffset().AddMilliseconds(order / CounterSize)).TryWriteBytes(bytes, bigEndian: true, out _);
        var counter = order % CounterSize;
        bytes[6] = (byte)(0x70 | (counter >> 8));
        bytes[7] = (byte)(counter & 0xFF);
        return new Guid(bytes, bigEndian: true);
    }
}
