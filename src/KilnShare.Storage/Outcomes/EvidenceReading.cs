using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Storage.Outcomes;

/// <summary>Which of a studio's outcomes are wanted, and what of them.</summary>
/// <param name="Most">The newest, so many at most.</param>
public sealed record OutcomesWanted(int Most)
{
    /// <summary>Of this clay only; null: of any.</summary>
    public string? Clay { get; init; }

    /// <summary>Of ware with one of these glazes on it; null: of any.</summary>
    public IReadOnlyList<string>? Glazes { get; init; }

    /// <summary>With the part of the kiln that the ware stood in.</summary>
    public bool WithLevels { get; init; }

    /// <summary>With the pieces by name and mark.</summary>
    public bool WithPieces { get; init; }
}

/// <summary>Reads a studio's outcomes with what the ware was and how it was fired; the database adds up copies alike, so that many cost little.</summary>
public static class EvidenceReading
{
    /// <summary>The newest outcomes as wanted, in the order of their firings' ids.</summary>
    public static async Task<IReadOnlyList<SeenCopies>> ReadSeenCopies(
        this KilnShareDb db, Id<Studio> studio, OutcomesWanted wanted, CancellationToken cancellation)
    {
        var alike = await db.ReadAlike(studio, wanted, cancellation);
        if (alike.Count == 0) return [];
        var ids = alike.Select(a => new Id<Firing>(a.FiringId)).Distinct().ToList();
        var firings = await db.Set<Firing>().AsNoTracking().Where(f => f.StudioId == studio && ids.Contains(f.Id))
            .ToDictionaryAsync(f => f.Id.Value, cancellation);
        var zone = DateTimeZoneProviders.Tzdb[await db.Set<Studio>().Where(s => s.StudioId == studio).Select(s => s.TimeZone).SingleAsync(cancellation)];
        var levels = wanted.WithLevels ? await db.ReadLevelsOfShelves(studio, cancellation) : [];
        var wares = new Dictionary<string, Ware>(StringComparer.Ordinal);
        var seen = new List<SeenCopies>(alike.Count);
        foreach (var one in alike)
        {
            if (!wares.TryGetValue(one.Ware, out var ware)) wares.Add(one.Ware, ware = JsonColumn.Read<Ware>(one.Ware));
            if (SeenCopies.Of(ware, firings[one.FiringId], zone, Enum.Parse<OutcomeGrade>(
                one.Grade), JsonColumn.Read<IReadOnlyList<Defect>>(one.Defects), one.Copies) is { } copies)
            {
                seen.Add(copies with
                {
                    Level = one.ShelfNo is { } shelf && levels.TryGetValue((one.FiringId, shelf), out var level) ? level : null,
                    Pieces = one.Pieces is { } pieces ? JsonColumn.Read<IReadOnlyList<SeenPiece>>(pieces) : [],
                });
            }
        }

        return seen;
    }

    private static Task<List<Alike>> ReadAlike(this KilnShareDb db, Id<Studio> studio, OutcomesWanted wanted, CancellationToken cancellation)
    {
        var (clay, glazes) = (wanted.Clay, wanted.Glazes?.ToArray());
        return db.Database.SqlQuery<Alike>(
            $"""
            with newest as (
              select firing_id, piece_id, copy, grade, defects from outcome where studio_id = {studio.Value} order by id desc limit {wanted.Most}),
            seen as (
              select o.firing_id, case when {wanted.WithLevels} then i.shelf_no end as shelf_no, o.grade, o.defects::text as defects,
                jsonb_build_object('id', '', 'stage', i.frozen -> 'ware' -> 'stage', 'clay', i.frozen -> 'ware' -> 'clay', 'layers', i.frozen -> 'ware' -> 'layers')::text as ware,
                i.piece_id, i.frozen ->> 'name' as name, i.frozen ->> 'mark' as mark
              from newest o
              join load_item i on i.studio_id = {studio.Value} and i.firing_id = o.firing_id and i.piece_id = o.piece_id and i.copy = o.copy
              where ({clay}::text is null or i.frozen -> 'ware' -> 'clay' ->> 'name' = {clay})
                and ({glazes}::text[] is null or exists (
                  select from jsonb_array_elements(i.frozen -> 'ware' -> 'layers') as layer where layer -> 'glaze' ->> 'name' = any({glazes}))))
            select firing_id, shelf_no, grade, defects, ware, count(*)::int as copies,
              (jsonb_agg(distinct jsonb_build_object('id', piece_id, 'name', name, 'mark', mark)) filter (where {wanted.WithPieces}))::text as pieces
            from seen group by firing_id, shelf_no, grade, defects, ware order by firing_id, shelf_no, grade, defects, ware
            """).ToListAsync(cancellation);
    }

    private static async Task<Dictionary<(Guid, int), KilnLevel>> ReadLevelsOfShelves(this KilnShareDb db, Id<Studio> studio, CancellationToken cancellation)
    {
        var shelves = await db.Database.SqlQuery<ShelfHeight>(
            $"""
            select s.firing_id, s.shelf_no, s.top, (coalesce(g.making, k.making) -> 'chamber' ->> 'height')::bigint as chamber
            from plan_shelf s
            join firing f on f.studio_id = s.studio_id and f.id = s.firing_id
            join kiln k on k.studio_id = f.studio_id and k.id = f.kiln_id
            left join plan_ground g on g.studio_id = s.studio_id and g.firing_id = s.firing_id
            where s.studio_id = {studio.Value}
            """).ToListAsync(cancellation);
        return shelves.ToDictionary(s => (s.FiringId, s.ShelfNo), s => KilnLevels.Of(new Length(s.Top), new Length(s.Chamber)));
    }

    private sealed record Alike(Guid FiringId, int? ShelfNo, string Grade, string Defects, string Ware, int Copies, string? Pieces);

    private sealed record ShelfHeight(Guid FiringId, int ShelfNo, long Top, long Chamber);
}
