using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Bookings;

/// <summary>The versions of what a decision was made on, beside the plan itself.</summary>
/// <param name="Kiln">The kiln.</param>
/// <param name="KilnVersion">Its version.</param>
/// <param name="HouseRulesVersion">The version of the house rules; 0: there were none.</param>
/// <param name="Copies">The copies that are new to the plan, with their pieces, clays and glazes; empty where none are.</param>
public sealed record SeenVersions(Id<Kiln> Kiln, long KilnVersion, long HouseRulesVersion, IReadOnlyCollection<CopyNow> Copies);

/// <summary>Looks again, when a decision is written, at what it was made on.</summary>
public static class SeenVersionChecking
{
    /// <summary>
    /// True while nothing has changed; kiln and pieces then stay as they are until the transaction ends. False: decide again.
    /// Called after the firing's load row is taken, which is the order of all who take both: load row, kiln, pieces by id. Who edits or puts away
    /// a kiln or a piece takes only that row and never the load row, so nobody waits in a circle.
    /// </summary>
    public static async Task<bool> StillAsSeen(this KilnShareDb db, Id<Studio> studio, SeenVersions seen, CancellationToken cancellation)
    {
        var pieces = seen.Copies.GroupBy(c => c.Piece.Id).Select(g => (Id: g.Key.Value, g.First().Piece.Version)).ToList();
        var clays = seen.Copies.Select(c => c.Clay).DistinctBy(c => c.Id).Select(c => (Id: c.Id.Value, c.Version)).ToList();
        var glazes = seen.Copies.SelectMany(c => c.Glazes).DistinctBy(g => g.Id).Select(g => (Id: g.Id.Value, g.Version)).ToList();
        var copies = seen.Copies.Select(c => (Piece: c.Piece.Id.Value, c.Copy.Copy, c.Copy.Step)).ToList();
        var same = await db.Database.SqlQuery<long>(
            $"""
            select (select count(*) from (select 1 from kiln where studio_id = {studio.Value} and id = {seen.Kiln.Value} and version = {seen.KilnVersion} and archived_at is null for share) k)
              + (select count(*) from (select 1 from piece p join unnest({Ids(pieces)}, {Versions(pieces)}) s (id, version) on p.id = s.id and p.version = s.version
                  where p.studio_id = {studio.Value} and p.archived_at is null order by p.id for share of p) p)
              + (select count(*) from piece_copy c join unnest({copies.Select(c => c.Piece).ToArray()}, {copies.Select(c => c.Copy).ToArray()}, {copies.Select(c => c.Step).ToArray()}) s (id, copy, step)
                  on c.piece_id = s.id and c.copy = s.copy and c.step = s.step where c.studio_id = {studio.Value})
              + (select count(*) from clay c join unnest({Ids(clays)}, {Versions(clays)}) s (id, version) on c.id = s.id and c.version = s.version where c.studio_id = {studio.Value})
              + (select count(*) from glaze g join unnest({Ids(glazes)}, {Versions(glazes)}) s (id, version) on g.id = s.id and g.version = s.version where g.studio_id = {studio.Value})
              + (select count(*) where coalesce((select version from house_rules where studio_id = {studio.Value}), 0) = {seen.HouseRulesVersion}) as "Value"
            """).SingleAsync(cancellation);
        return same == 2 + pieces.Count + copies.Count + clays.Count + glazes.Count;
    }

    private static Guid[] Ids(List<(Guid Id, long Version)> things) => [.. things.Select(t => t.Id)];

    private static long[] Versions(List<(Guid Id, long Version)> things) => [.. things.Select(t => t.Version)];
}
