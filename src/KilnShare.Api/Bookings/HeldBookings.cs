using KilnShare.Api.Access;
using KilnShare.Api.Costs;
using KilnShare.Api.Studios;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Bookings;

/// <summary>Bookings of a firing with their copies and what stands against those booked ahead.</summary>
internal sealed class HeldBookings
{
    private readonly Dictionary<Id<Firing>, long> loadVersions;
    private readonly ILookup<Id<Booking>, BookedCopy> copies;
    private readonly Dictionary<(Id<Booking>, Id<Piece>, int), BookingDoubt> doubts;
    private readonly Dictionary<Id<Booking>, FeeShown> fees;
    private readonly Dictionary<Id<Member>, string> approvers;

    private HeldBookings(
        Dictionary<Id<Firing>, long> loadVersions, ILookup<Id<Booking>, BookedCopy> copies, Dictionary<(Id<Booking>, Id<Piece>, int), BookingDoubt> doubts,
        Dictionary<Id<Booking>, FeeShown> fees,
        Dictionary<Id<Member>, string> approvers) =>
        (this.loadVersions, this.copies, this.doubts, this.fees, this.approvers) = (loadVersions, copies, doubts, fees, approvers);

    /// <summary>Reads the copies of these bookings and the fees that the caller is shown.</summary>
    public static async Task<HeldBookings> Read(KilnShareDb db, Caller caller, IReadOnlyList<Booking> of, CancellationToken cancellation)
    {
        var studio = caller.StudioId;
        var bookings = of.Select(b => b.Id).ToList();
        var approved = of.Select(b => b.ApprovedBy).OfType<Id<Member>>().Distinct().ToList();
        var firings = of.Select(b => b.FiringId).Distinct().ToList();
        var versions = await db.Set<FiringLoad>().Where(l => l.StudioId == studio && firings.Contains(l.FiringId))
            .ToDictionaryAsync(l => l.FiringId, l => l.LoadVersion, cancellation);
        var rows = await db.Set<BookedCopy>().AsNoTracking().Where(c => c.StudioId == studio && bookings.Contains(c.BookingId)).ToListAsync(cancellation);
        return new HeldBookings(versions, rows.ToLookup(
            c => c.BookingId), await Doubts(db, studio, rows, cancellation), await BookingMoney.FeesOf(db, caller, bookings, cancellation),
            approved.Count == 0 ? [] : await db.Set<Member>().AsNoTracking().Where(m => m.StudioId == studio && approved.Contains(m.Id))
                .ToDictionaryAsync(m => m.Id, m => m.Name, cancellation));
    }

    /// <summary>The answer for one of them. Copies taken out of a standing booking are not told.</summary>
    public BookingAnswer Answer(Booking booking)
    {
        var told = copies[booking.Id].Where(c => booking.State == BookingState.Withdrawn || c.State != BookingState.Withdrawn)
            .Select(c => new HeldCopy(c.BookingId, c.PieceId, c.Copy, c.Frozen, c.Place));
        var approver = booking.ApprovedBy is { } by ? approvers.GetValueOrDefault(by) : null;
        var answer = BookingAnswer.Of(booking, told, loadVersions[booking.FiringId], null, fees.GetValueOrDefault(booking.Id), approver);
        return answer with
        {
            Copies = [.. answer.Copies.Select(
            c => c with { Doubt = c.PieceId is { } piece ? DoubtContract.Of(doubts.GetValueOrDefault((booking.Id, new Id<Piece>(piece), c.Copy))) : null })]
        };
    }

    private static async Task<Dictionary<(Id<Booking>, Id<Piece>, int), BookingDoubt>> Doubts(
        KilnShareDb db, Id<Studio> studio, List<BookedCopy> rows, CancellationToken cancellation)
    {
        var held = rows.Where(c => c.State != BookingState.Withdrawn && !c.IsRoom).ToList();
        if (held.Count == 0) return [];
        var firings = held.Select(c => c.FiringId).Distinct().ToList();
        var starts = await db.Set<Firing>().AsNoTracking().Where(f => f.StudioId == studio && firings.Contains(f.Id))
            .Select(f => new { f.Id, f.StartsAt, f.State }).ToDictionaryAsync(f => f.Id, cancellation);
        held.RemoveAll(c => starts[c.FiringId].State > FiringState.Fixed);
        if (held.Count == 0) return [];
        var ids = held.Select(c => c.PieceId).Distinct().ToList();
        var now = (await db.Set<PieceCopy>().AsNoTracking().Where(c => c.StudioId == studio && ids.Contains(c.PieceId)).ToListAsync(cancellation))
            .ToDictionary(c => (c.PieceId, c.Copy));
        var steps = (await db.ReadBookedSteps(studio, ids, null, cancellation)).ToLookup(s => s.Key, s => s.Value);
        var zone = await StudioZone.Of(db, cancellation);
        return held.Select(c => (Key: (c.BookingId, c.PieceId, c.Copy), Doubt: BookingAhead.Doubt(
                now[(c.PieceId, c.Copy)], c.Step, starts[c.FiringId].StartsAt, [.. steps[(c.PieceId, c.Copy)]], zone)))
            .Where(c => c.Doubt is not null).ToDictionary(c => c.Key, c => c.Doubt!);
    }
}
