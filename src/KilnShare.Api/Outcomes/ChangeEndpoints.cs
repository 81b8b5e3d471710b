using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Studios;
using KilnShare.Core.Energy;
using KilnShare.Core.Kilns;
using KilnShare.Core.Outcomes;
using KilnShare.Storage;
using KilnShare.Storage.Outcomes;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Outcomes;

/// <summary>Which recipes come out otherwise since something changed.</summary>
internal static class ChangeEndpoints
{
    private const int MostOutcomes = 20_000;

    /// <summary>Maps the routes.</summary>
    public static void MapEvidenceChanges(this RouteGroupBuilder studio) => studio.MapGet("/evidence/changes", Read)
        .WithTags("Outcomes").WithName("readEvidenceChanges").Answers<EvidenceChangesAnswer>();

    /// <summary>Read which recipes come out otherwise since something changed</summary>
    /// <remarks>
    /// With since, before and from that day. Without it, at every new batch of a glaze and at new elements and thermocouples out of the kilns' books of upkeep,
    /// the ten newest of these. Whole firings are held against each other, the thirty nearest before and after. The same seed gives the same answer.
    /// </remarks>
    private static async Task<IResult> Read(Caller caller, KilnShareDb db, QueryDay? since, int? seed, CancellationToken cancellation)
    {
        var zone = await StudioZone.Of(db, cancellation);
        var seen = await db.ReadSeenCopies(caller.StudioId, new OutcomesWanted(MostOutcomes), cancellation);
        IEnumerable<ChangePoint> points = since is { } day
            ? [new ChangePoint(ChangeKind.Day, day.Begins(zone), day.Date)]
            : [.. ChangePoint.NewBatches(seen), .. await Renewals(db, caller, zone, cancellation)];
        return TypedResults.Ok(EvidenceChangesAnswer.Of(RecipeChanges.Of(seen, points, seed ?? 1), seed ?? 1));
    }

    private static async Task<IReadOnlyList<ChangePoint>> Renewals(KilnShareDb db, Caller caller, DateTimeZone zone, CancellationToken cancellation)
    {
        var entries = await (from entry in db.Set<UpkeepEntry>().AsNoTracking()
                             join kiln in db.Set<Kiln>().AsNoTracking() on new { entry.StudioId, Id = entry.KilnId } equals new { kiln.StudioId, kiln.Id }
                             where entry.StudioId == caller.StudioId
                                 && (entry.Kind == UpkeepKind.ElementsReplaced || entry.Kind == UpkeepKind.ThermocoupleReplaced)
                             select new { entry.Kind, entry.At, entry.KilnId, kiln.Making }).ToListAsync(cancellation);
        return [.. entries.Select(e => new ChangePoint(
            e.Kind == UpkeepKind.ElementsReplaced
                ? ChangeKind.ElementsReplaced : ChangeKind.ThermocoupleReplaced, e.At, e.At.InZone(zone).Date) { KilnId = e.KilnId, Kiln = e.Making.Name })];
    }
}
