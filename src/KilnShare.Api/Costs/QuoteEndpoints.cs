using KilnShare.Api.Access;
using KilnShare.Api.Bookings;
using KilnShare.Api.Common;
using KilnShare.Api.Energy;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
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
    /// <remarks>
    /// A range from a full kiln to what is booked now and this ware beside it, by the studio's cost rules; likely is as full as this kiln usually
    /// becomes. Keeps nothing and books nothing.
    /// </remarks>
    private static async Task<IResult> Quote(Guid firingId, QuoteBody body, Caller caller, KilnShareDb db, LearntKilns memory, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (!(await WantedWare.ReadCopies(db, caller, body.Pieces, cancellation)).TryGet(out var mine, out var refusal)) return Problems.Of(refusal);
        var load = await LoadWith(db, firing, mine, cancellation);
        var ground = await QuoteGround.Read(db, memory, firing, cancellation);
        if (!ground.Quote(load, mine[0].Frozen.MemberId.ToString()).TryGet(out var quote, out refusal)) return Problems.Of(refusal);
        var view = AmountsView.Of(ground.Costs.Studio.AmountsShownTo, caller.Role, caller.MemberId, quote.Booked.Charged, quote.Booked.Metered);
        return TypedResults.Ok(
            QuoteAnswer.Of(quote, ground, load.Count, FiringUses.VolumeCm3(mine.Select(m => m.Frozen), ground.Costs.Kiln.Making.Spacing), view));
    }

    /// <summary>What is booked, less these copies where they are booked already, and these.</summary>
    private static async Task<IReadOnlyList<UsedCopy>> LoadWith(KilnShareDb db, Firing firing, IReadOnlyList<CopyNow> mine, CancellationToken cancellation)
    {
        var booked = await db.Set<BookedCopy>().AsNoTracking()
            .Where(c => c.StudioId == firing.StudioId && c.FiringId == firing.Id && c.State == BookingState.Confirmed && !c.IsRoom).ToListAsync(cancellation);
        var others = booked.Where(b => !mine.Any(m => m.Piece.Id == b.PieceId && m.Copy.Copy == b.Copy));
        return [.. others.Select(b => new UsedCopy(b.Frozen, b.ShelfNo)), .. mine.Select(
            m => new UsedCopy(m.FrozenFor(firing.Aim.Kind), booked.Find(b => b.PieceId == m.Piece.Id && b.Copy == m.Copy.Copy)?.ShelfNo))];
    }
}
