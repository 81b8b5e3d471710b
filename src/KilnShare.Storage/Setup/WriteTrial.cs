using System.Data.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage.Costs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Storage.Setup;

/// <summary>
/// Tries whether the database takes writes: a studio with its money and a firing is written as requests would, through every wall and in every language
/// that walls are written in (SQL, PL/pgSQL, the C of btree_gist), and rolled back; a commit reaches the disk, and a file of some size is filled.
/// </summary>
public static class WriteTrial
{
    // A commit of nothing but a word in the log: it is flushed to disk and leaves no row. (A trial that is rolled back alone need not reach the disk.)
    private const string CommitSql = "select pg_logical_emit_message(true, 'kilnshare', 'trial')";

    // One and a half MiB that do not fit into the memory allowed go to a file beside the tables: a full disk refuses it. (Tables have room inside.)
    private const string FillSql = "set local work_mem = '64kB'; select count(*) from unnest(array_fill(repeat('x', 1000), array[1500]))";

    /// <summary>Tries it.</summary>
    /// <param name="db">A context over a session of its own: one that was just begun must load what a session of some age has loaded already.</param>
    /// <param name="now">The time.</param>
    /// <param name="cancellation">Stops it.</param>
    /// <exception cref="DbException">The database's own words, maybe wrapped by EF.</exception>
    public static async Task Run(KilnShareDb db, Instant now, CancellationToken cancellation)
    {
        var studio = new Studio(NewId<Studio>(now), "A trial", "UTC", "EUR", 0, now);
        db.Studio = studio.StudioId;
        await db.Database.OpenConnectionAsync(cancellation);
        await db.Database.ExecuteSqlRawAsync(CommitSql, cancellation);
        await using var transaction = await db.Database.BeginTransactionAsync(cancellation);
        await db.Database.ExecuteSqlRawAsync(FillSql, cancellation);
        db.Add(studio);
        foreach (var account in new[] { Account.Firings, Account.StudioShare, Account.Cash }) db.Add(new AccountRow(studio.StudioId, account));
        var owner = new Member(studio.StudioId, NewId<Member>(now), "A trial", Role.Owner, now);
        var kiln = new Kiln(studio.StudioId, NewId<Kiln>(now), Making, Shelfless, now);
        db.AddRange(owner, kiln, new Firing(studio.StudioId, NewId<Firing>(now), kiln.Id, Aim, now, 1, 1, now));
        var money = new LedgerEntry(
            now, EntryKind.Adjustment, Account.Cash, Account.StudioShare, 1, Currency.Parse("EUR")!.Value, studio.StudioId.ToString(), "trial");
        db.AddEntries(studio.StudioId, [money]);
        await db.SaveChangesAsync(cancellation);
        await db.Database.ExecuteSqlRawAsync("set constraints all immediate", cancellation); // what the end of a transaction looks at, now
        await transaction.RollbackAsync(cancellation);
    }

    private static KilnMaking Making { get; } = new(
        "A trial", new Chamber(new Footprint.Circle(Length.OfMm(500)), Length.OfMm(500), Length.Zero, Length.Zero),
        new KilnSpacing(Length.Zero, Length.Zero, Length.Zero));

    private static Furniture Shelfless { get; } = new([], PostHeights.Stock, [], Length.Zero, Length.Zero);

    private static FiringAim Aim { get; } = new(FiringKind.Glaze, Cone.Parse("6"), ConeSeries.SelfSupporting, Core.Materials.Atmosphere.Oxidation);

    private static Id<T> NewId<T>(Instant now) => new(Guid.CreateVersion7(now.ToDateTimeOffset()));
}
