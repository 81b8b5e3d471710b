using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Studios;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;

namespace KilnShare.Api.Bookings;

/// <summary>A copy wanted in a firing.</summary>
/// <param name="Piece">Its piece.</param>
/// <param name="Copy">Which copy.</param>
/// <param name="Step">Which step of its route the firing is.</param>
/// <param name="Frozen">As it is, or is to be by then.</param>
/// <param name="Now">As it was read.</param>
public sealed record WantedCopy(Piece Piece, int Copy, int Step, FrozenCopy Frozen, CopyNow Now);

/// <summary>From the pieces a member names to copies that may be booked, each at its step.</summary>
internal static class WantedWare
{
    /// <summary>The copies as they are, all of one member the caller may act for; or what is missing or done.</summary>
    public static async Task<Result<IReadOnlyList<CopyNow>>> ReadCopies(
        KilnShareDb db, Caller caller, IReadOnlyList<BookedPieceContract> pieces, CancellationToken cancellation)
    {
        var now = await db.ReadCopies(caller.StudioId, [.. pieces.Select(p => new Id<Piece>(p.PieceId))], cancellation);
        var chosen = Choose(pieces, now);
        return chosen.TryGet(out var copies, out _) && caller.MayActFor(copies[0].Piece.MemberId) is { } notYours ? notYours : chosen;
    }

    /// <summary>The copies at the step that the firing is for each; or what is missing, done, booked already or out of order.</summary>
    /// <param name="db">The studio's rows.</param>
    /// <param name="caller">Who asks.</param>
    /// <param name="firing">The firing.</param>
    /// <param name="pieces">What is named.</param>
    /// <param name="ahead">Whether a copy is booked ahead of firings that are booked already.</param>
    /// <param name="besides">A booking that does not count: the one that is being changed.</param>
    /// <param name="cancellation">Stops it.</param>
    public static async Task<Result<IReadOnlyList<WantedCopy>>> Read(
        KilnShareDb db, Caller caller, Firing firing, IReadOnlyList<WishedPieceContract> pieces, Func<CopyNow, bool> ahead, Id<Booking>? besides,
            CancellationToken cancellation)
    {
        if (!(await ReadCopies(db, caller, pieces, cancellation)).TryGet(out var chosen, out var refusal)) return refusal;
        var wishes = pieces.ToDictionary(p => p.PieceId, p => p.Wish);
        var live = (await db.ReadBookedSteps(caller.StudioId, [.. wishes.Keys.Select(id => new Id<Piece>(id))], besides, cancellation))
            .ToLookup(b => b.Key, b => b.Value);
        var zone = await StudioZone.Of(db, cancellation);
        var wanted = new List<WantedCopy>();
        foreach (var copy in chosen)
        {
            IReadOnlyList<BookedStep> booked = [.. live[(copy.Piece.Id, copy.Copy.Copy)].OrderBy(b => b.Step)];
            var (step, taken) = BookingAhead.StepOf(copy.Copy.Step, booked, ahead(copy));
            if (taken is { } other) return await TakenCopies.Refuse(db, caller.StudioId, copy.Piece.Id, copy.Copy.Copy, other, cancellation);
            if (BookingAhead.CheckOrder(step, firing.StartsAt, firing.EndsAt, booked, zone) is { } outOfOrder) return outOfOrder;
            var before = booked.Where(b => b.Step >= copy.Copy.Step && b.Step < step).Select(b => b.Aim);
            wanted.Add(new WantedCopy(
                copy.Piece, copy.Copy.Copy, step, copy.FrozenAfter(before, firing.Aim.Kind) with { Wish = wishes[copy.Piece.Id.Value] }, copy));
        }

        return wanted;
    }

    private static Result<IReadOnlyList<CopyNow>> Choose(IReadOnlyList<BookedPieceContract> pieces, IReadOnlyList<CopyNow> now)
    {
        var chosen = new List<CopyNow>();
        for (var i = 0; i < pieces.Count; i++)
        {
            var copies = now.Where(c => c.Piece.Id.Value == pieces[i].PieceId).ToList();
            if (copies.Count == 0) return Refusal.Rule(
                "bookings.no-such-piece", "There is no such piece in your studio. Write it down first, or check the id.", $"/pieces/{i}/pieceId");
            var wanted = pieces[i].Copies is { } numbers ? copies.Where(c => numbers.Contains(c.Copy.Copy)).ToList() : copies;
            if (pieces[i].Copies is { } asked && wanted.Count != asked.Count)
                return Refusal.Rule(
                    "bookings.no-such-copy",
                    $"{copies[0].Frozen.Name} ({copies[0].Frozen.Mark ?? "no mark"}) has {copies.Count} copies. A request counts them from 0.",
                    $"/pieces/{i}/copies");
            if (wanted.Find(IsDone) is { } done)
                return Refusal.Rule("bookings.nothing-to-fire",
                    $"{WareNames.CopyOf(done.Frozen, done.Copy.Copy)} is {EnumWord<Stage>.Of(done.Copy.Stage)}: it needs no firing.", $"/pieces/{i}/copies");
            chosen.AddRange(wanted);
        }

        return chosen.Select(c => c.Piece.MemberId).Distinct().Count() == 1
            ? chosen : Refusal.Rule("bookings.two-members", "A booking holds ware of one member. Book each member's ware by itself.", "/pieces");
    }

    private static bool IsDone(CopyNow now) =>
        now.Copy.Stage is Stage.Lost or Stage.Finished && now.Piece.Making.Layers.Count <= now.Copy.LayersFiredAt.Count;
}
