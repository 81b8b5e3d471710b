using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Energy;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Costs;

/// <summary>What a firing would cost me.</summary>
public static class QuoteEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapQuotes(this RouteGroupBuilder studio) => studio.MapPost("/firings/{firingId:guid}/quotes", Quote)
        .WithTags("Costs").WithName("quoteFiring").Answers<QuoteAnswer>().Refuses(422);

    /// <summary>Quote a member's share of a firing</summary>
    /// <remarks>With what is booked now and this ware beside it, by the studio's cost rules. Keeps nothing and books nothing.</remarks>
    private static async Task<IResult> Quote(Guid firingId, QuoteBody body, Caller caller, KilnShareDb db, LearntKilns memory, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (!(await WantedCopies(db, caller, body, cancellation)).TryGet(out var mine, out var refusal)) return Problems.Of(refusal);
        var load = await LoadWith(db, firing, mine, cancellation);
        var ground = await QuoteGround.Read(db, memory, firing, cancellation);
        return ground.Quote(load, mine[0].Frozen.MemberId.ToString()).TryGet(out var quote, out refusal)
            ? TypedResults.Ok(QuoteAnswer.Of(quote, ground, load.Count, FiringUses.VolumeCm3(mine.Select(m => m.Frozen), ground.Costs.Kiln.Making.Spacing))) : Problems.Of(refusal);
    }

    private static async Task<Result<IReadOnlyList<CopyNow>>> WantedCopies(KilnShareDb db, Caller caller, QuoteBody body, CancellationToken cancellation)
    {
        var now = await db.ReadCopies(caller.StudioId, [.. body.Pieces.Select(p => new Id<Piece>(p.PieceId))], cancellation);
        var chosen = new List<CopyNow>();
        for (var i = 0; i < body.Pieces.Count; i++)
        {
            var wanted = now.Where(c => c.Piece.Id.Value == body.Pieces[i].PieceId && body.Pieces[i].Copies?.Contains(c.Copy.Copy) != false).ToList();
            if (wanted.Count == 0 || (body.Pieces[i].Copies is { } asked && asked.Count != wanted.Count))
                return Refusal.Rule("bookings.no-such-piece", "There is no such piece or copy in your studio. Write it down first, or check the id.", $"/pieces/{i}/pieceId");
            chosen.AddRange(wanted);
        }

        if (chosen.Exists(c => c.Piece.MemberId != chosen[0].Piece.MemberId))
            return Refusal.Rule("bookings.two-members", "A quote is for ware of one member. Ask for each member's ware by itself.", "/pieces");
        return caller.MayActFor(chosen[0].Piece.MemberId) is { } notYours ? notYours : chosen;
    }

    /// <summary>What is booked, less these copies where they are booked already, and these.</summary>
    private static async Task<IReadOnlyList<UsedCopy>> LoadWith(KilnShareDb db, Firing firing, IReadOnlyList<CopyNow> mine, CancellationToken cancellation)
    {
        var booked = await db.Set<BookedCopy>().AsNoTracking()
            .Where(c => c.StudioId == firing.StudioId && c.FiringId == firing.Id && c.State == BookingState.Confirmed).ToListAsync(cancellation);
        var others = booked.Where(b => !mine.Any(m => m.Piece.Id == b.PieceId && m.Copy.Copy == b.Copy));
        return [.. others.Select(b => new UsedCopy(b.Frozen, b.ShelfNo)), .. mine.Select(m => new UsedCopy(m.Frozen, booked.Find(b => b.PieceId == m.Piece.Id && b.Copy == m.Copy.Copy)?.ShelfNo))];
    }
}
