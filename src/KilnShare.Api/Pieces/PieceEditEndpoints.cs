using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Firings;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Pieces;

/// <summary>Changing what a piece is made as, and putting pieces away.</summary>
public static class PieceEditEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapPieceEdits(this RouteGroupBuilder pieces)
    {
        pieces.MapPatch("/{pieceId:guid}", Change).WithName("editPiece").Edits<PieceMakingContract>().Answers<PieceAnswer>().Refuses(422);
        pieces.MapDelete("/{pieceId:guid}", Archive).WithName("archivePiece").Archives().Refuses(409, 422);
    }

    /// <summary>Change a piece</summary>
    /// <remarks>
    /// Copies that are booked keep the facts they were booked with: change the booking to plan with the new ones. Dryness is set for all
    /// copies that are still greenware. Quantity, owner and stage are not changed here.
    /// </remarks>
    private static async Task<IResult> Change(
        Guid pieceId, MergePatch patch, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        if (await Find(db, caller, pieceId, cancellation) is not { } piece) return Problems.Absent();
        if (caller.MayActFor(piece.MemberId) is { } notYours) return Problems.Of(notYours);
        var copies = await db.Set<PieceCopy>().Where(c => c.StudioId == caller.StudioId && c.PieceId == piece.Id).ToListAsync(cancellation);
        var around = await PieceSurroundings.Read(db, caller.StudioId, [piece], cancellation);
        var edit = await editing.Read<PieceMakingContract>(context, piece, PieceAnswer.Of(piece, copies, around), patch, cancellation);
        if (!edit.TryGet(out var body, out var refused)) return refused;
        if (await PieceEndpoints.FindStranger(body, caller, piece.MemberId, db, cancellation) is { } stranger) return Problems.Of(stranger);
        var making = body.ToCore();
        if (ChangesFiredLayers(piece.Making, making, copies)) return Problems.Of(Refusal.Rule(
            "pieces.layers-fired", "A layer that is fired already cannot be changed. Keep the fired layers as they are and add new ones after them.",
                "/layers"));
        piece.Making = making;
        foreach (var copy in copies.Where(c => c.Stage == Stage.Greenware)) (copy.Dryness, copy.DrySince) = (body.Dryness, body.DrySince);
        around = await PieceSurroundings.Read(db, caller.StudioId, [piece], cancellation);
        return await editing.Save(context, caller, piece, pieceId, "pieces.edit", () => PieceAnswer.Of(piece, copies, around), cancellation);
    }

    /// <summary>Put a piece away</summary>
    private static async Task<IResult> Archive(
        Guid pieceId, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        // Held, so that a booking under way has either been written, or waits and then sees it put away.
        await db.Database.ExecuteSqlAsync($"select 1 from piece where studio_id = {caller.StudioId.Value} and id = {pieceId} for no key update", cancellation);
        if (await Find(db, caller, pieceId, cancellation) is not { } piece) return Problems.Absent();
        if (caller.MayActFor(piece.MemberId) is { } notYours) return Problems.Of(notYours);
        if (await FindBooking(db, piece, null, cancellation) is { } booked) return Problems.Of(booked);
        var answer = await editing.Archive(context, caller, piece, pieceId, "pieces.archive", cancellation);
        await writing.CommitAsync(cancellation);
        return answer;
    }

    private static bool ChangesFiredLayers(PieceMaking before, PieceMaking after, List<PieceCopy> copies)
    {
        var fired = Math.Min(copies.Max(c => c.LayersFiredAt.Count), before.Layers.Count);
        return fired > 0 && !before.Layers.Take(fired).SequenceEqual(after.Layers.Take(fired));
    }

    /// <summary>The refusal of a piece that is booked for a firing that is not unloaded yet; null where it is free.</summary>
    /// <param name="db">The database.</param>
    /// <param name="piece">The piece.</param>
    /// <param name="copies">The copies that matter; null: all.</param>
    /// <param name="cancellation">Stops it.</param>
    internal static async Task<Refusal?> FindBooking(KilnShareDb db, Piece piece, IReadOnlyList<int>? copies, CancellationToken cancellation)
    {
        var (all, some) = (copies is null, copies ?? []);
        var booked = await (from copy in db.Set<BookedCopy>()
                            join firing in db.Set<Firing>() on new { copy.StudioId, copy.FiringId } equals new { firing.StudioId, FiringId = firing.Id }
                            join kiln in db.Set<Kiln>() on new { firing.StudioId, firing.KilnId } equals new { kiln.StudioId, KilnId = kiln.Id }
                            join studio in db.Set<Studio>() on copy.StudioId equals studio.StudioId
                            where copy.StudioId == piece.StudioId && copy.PieceId == piece.Id && copy.State != BookingState.Withdrawn
                                && (all || some.Contains(copy.Copy))
                                && firing.State != FiringState.Unloaded && firing.State != FiringState.Settled && firing.State != FiringState.Cancelled
                            orderby firing.StartsAt
                            select new { copy.BookingId, firing, kiln.Making, studio.TimeZone }).AsNoTracking().FirstOrDefaultAsync(cancellation);
        if (booked is null) return null;
        var day = FiringWords.Time(booked.firing.StartsAt, DateTimeZoneProviders.Tzdb[booked.TimeZone]);
        var next = booked.firing.State > FiringState.Fixed ? "It stays until that firing is unloaded." : "Withdraw that booking first.";
        return Refusal.Rule(
            "pieces.booked",
            $"{piece.Making.Called()} is booked for the {FiringWords.Of(booked.firing)} in {booked.Making.Name}, {day} "
                + $"({FiringStates.Word(booked.firing.State)}). {next}") with
        {
            Values = new Dictionary<string, object?>(StringComparer.Ordinal) { ["firingId"] = booked.firing.Id.Value, ["bookingId"] = booked.BookingId.Value },
        };
    }

    private static async Task<Piece?> Find(KilnShareDb db, Caller caller, Guid pieceId, CancellationToken cancellation) =>
        await db.FindAsync<Piece>([caller.StudioId, new Id<Piece>(pieceId)], cancellation) is { ArchivedAt: null } piece ? piece : null;
}
