using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using KilnShare.Storage.Outcomes;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Outcomes;

/// <summary>What happened here before to ware like a piece that is still to be fired.</summary>
internal static class PrecedentEndpoints
{
    private const int MostOutcomes = 20_000;

    /// <summary>Maps the routes.</summary>
    public static void MapPrecedents(this RouteGroupBuilder studio) => studio.MapGet("/pieces/{pieceId:guid}/precedents", Read)
        .WithTags("Outcomes").WithName("readPrecedents").Answers<PrecedentsAnswer>().Refuses(409, 422);

    /// <summary>Read what happened here before to ware like this piece</summary>
    /// <remarks>
    /// The piece is held against the studio's outcomes: its very recipe first, then other coats, neighbouring cones, clays for nearly the same cones. What
    /// differs is said of each, and counts for less. The firing is the one that is named, else the one that the copy is booked for; where there is none, cones
    /// are told and not compared. The copy is the first with a firing to come.
    /// </remarks>
    private static async Task<IResult> Read(Guid pieceId, Caller caller, KilnShareDb db, int? copy, Guid? firingId, CancellationToken cancellation)
    {
        var copies = await db.ReadCopies(caller.StudioId, [new Id<Piece>(pieceId)], cancellation);
        if (copies.Count == 0) return Problems.Absent();
        if (!Chosen(copies, copy).TryGet(out var chosen, out var refusal)) return Problems.Of(refusal);
        if (!(await AimOf(db, caller, chosen, firingId, cancellation)).TryGet(out var asked, out refusal)) return Problems.Of(refusal);
        var wanted = WareFor(chosen, asked.Kind);
        IReadOnlyList<string> glazes = [.. wanted.Layers.Where(l => l.IsRaw).Select(l => l.Glaze.Name).Distinct(StringComparer.Ordinal)];
        var seen = await db.ReadSeenCopies(
            caller.StudioId, new OutcomesWanted(MostOutcomes) { Glazes = glazes.Count == 0 ? null : glazes, WithPieces = true }, cancellation);
        return TypedResults.Ok(Answer(chosen, asked.Aim, Precedents.Of(wanted, asked.Aim, seen)));
    }

    private static Result<CopyNow> Chosen(IReadOnlyList<CopyNow> copies, int? number)
    {
        var copy = number is { } n ? copies.FirstOrDefault(c => c.Copy.Copy == n) : copies.FirstOrDefault(c => RouteOf(c).Next is not null) ?? copies[0];
        var name = WareNames.NameOf(copies[0].Frozen);
        if (copy is null) return Refusal.Rule(
            "outcomes.no-such-copy", $"{name} has {copies.Count} {(copies.Count == 1 ? "copy" : "copies")}. A request counts copies from 0.", "/copy");
        return RouteOf(copy).Next is null
            ? Refusal.Conflict(
                "outcomes.no-firing-to-come", $"{name} has no firing to come. Read how it came out under its outcomes, or add a coat first.") : copy;
    }

    /// <summary>The firing that is asked about, as far as one is chosen, and the kind of it.</summary>
    private static async Task<Result<Asked>> AimOf(KilnShareDb db, Caller caller, CopyNow copy, Guid? firingId, CancellationToken cancellation)
    {
        var route = RouteOf(copy);
        if (firingId is { } id)
        {
            if (await db.Set<Firing>().AsNoTracking()
                .SingleOrDefaultAsync(f => f.StudioId == caller.StudioId && f.Id == new Id<Firing>(id), cancellation) is not { } named)
                return Refusal.Rule("outcomes.no-such-firing", "There is no such firing in your studio. Check the id, or leave it out.", "/firingId");
            if (route.Steps.All(s => s.Kind != named.Aim.Kind))
            {
                var way = string.Join(", ", route.Steps.Select(s => EnumWord<FiringKind>.Of(s.Kind)));
                return Refusal.Rule(
                    "outcomes.not-on-its-way",
                        $"{WareNames.NameOf(copy.Frozen)} needs no such firing any more: its way is {way}. Name a firing of one of these kinds.", "/firingId");
            }

            return new Asked(named.Aim.Kind, named.Aim);
        }

        var kind = (route.Steps.FirstOrDefault(s => WareFor(copy, s.Kind).Layers.Any(l => l.IsRaw)) ?? route.Steps[^1]).Kind;
        var booked = await (from held in db.Set<BookedCopy>().AsNoTracking()
                            join firing in db.Set<Firing>()
                                .AsNoTracking() on new { held.StudioId, Id = held.FiringId } equals new { firing.StudioId, firing.Id }
                            where held.StudioId == caller.StudioId && held.PieceId == copy.Piece.Id && held.Copy == copy.Copy.Copy
                                && held.State != BookingState.Withdrawn && firing.State < FiringState.Unloaded
                            orderby firing.StartsAt
                            select firing.Aim).ToListAsync(cancellation);
        return new Asked(kind, booked.Find(a => a.Kind == kind));
    }

    private static Core.Pieces.Route RouteOf(CopyNow copy) => CopyRoute.Of(copy.Piece.Making, copy.Copy.Now(), copy.Materials.KindOf);

    /// <summary>The ware as it is to go into that firing of its way. The cones of the firings before it do not matter here.</summary>
    private static Ware WareFor(CopyNow copy, FiringKind kind)
    {
        var before = RouteOf(copy).Steps.TakeWhile(s => s.Kind != kind).Select(s => new FiringAim(s.Kind, Core.Cones.Cone.Parse("04"), default, default));
        return copy.FrozenAfter(before, kind).FiredWare();
    }

    private static PrecedentsAnswer Answer(CopyNow copy, FiringAim? aim, Precedents found) => new()
    {
        PieceId = copy.Piece.Id.Value,
        Copy = copy.Copy.Copy,
        Cone = aim?.Cone,
        Series = aim?.Series,
        Atmosphere = aim?.Atmosphere,
        Expected = new ExpectedContract
        {
            OwnFirings = found.OwnFirings,
            BorrowedFirings = found.BorrowedFirings,
            Range = RateRangeContract.Of(found.Sound?.Range),
            Sentence = found.InWords(),
        },
        Cases = [.. found.Cases.Select(PrecedentContract.Of)],
    };

    private sealed record Asked(FiringKind Kind, FiringAim? Aim);
}
