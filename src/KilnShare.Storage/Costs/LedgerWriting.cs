using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Studios;

namespace KilnShare.Storage.Costs;

/// <summary>Adds entries to a studio's books.</summary>
public static class LedgerWriting
{
    /// <summary>Entries of one transaction; their ids follow the time they were written.</summary>
    public static void AddEntries(this KilnShareDb db, Id<Studio> studio, IEnumerable<LedgerEntry> entries)
    {
        foreach (var entry in entries)
        {
            var added = db.Entry(entry);
            added.Property(CostTables.StudioId).CurrentValue = studio;
            added.Property(CostTables.Id).CurrentValue = Guid.CreateVersion7(entry.At.ToDateTimeOffset());
            added.State = Microsoft.EntityFrameworkCore.EntityState.Added;
        }
    }
}
