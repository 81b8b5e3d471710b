using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Costs;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Studios;

/// <summary>What becomes of a balance and of ware when a member leaves.</summary>
public enum Leaving
{
    /// <summary>They stay on the books: what is booked is fired, and what that costs goes onto the account as before.</summary>
    Keep,
}

/// <summary>A member who leaves while the books or the shelves still name them.</summary>
internal static class MemberLeaving
{
    private const int MostNamed = 50;
    private const int MostInWords = 3;

    /// <summary>The refusal that tells balance and ware; null where there is neither. The balance stands until the transaction ends.</summary>
    public static async Task<Refusal?> Check(KilnShareDb db, Member member, CancellationToken cancellation)
    {
        await db.HoldAccount(member.StudioId, member.Id, cancellation);
        var balance = (long)await db.Balance(member.StudioId, Account.OfMember(member.Id.ToString()), cancellation);
        var pieces = await PiecesHere(db, member).Take(MostNamed).Select(p => new { p.Id, p.Making }).ToListAsync(cancellation);
        var bookings = await BookingsAhead(db, member).Take(MostNamed).Select(b => new { b.Id, b.FiringId }).ToListAsync(cancellation);
        if (balance == 0 && pieces.Count == 0 && bookings.Count == 0) return null;
        var currency = Currency.Parse(
            await db.Set<Studio>().Where(s => s.StudioId == member.StudioId).Select(s => s.Currency).SingleAsync(cancellation))!.Value;
        var named = string.Join(", ", pieces.Take(MostInWords).Select(p => p.Making.Called()));
        List<string> left =
        [
            .. balance == 0
                ? [] : new[] { $"{(balance > 0 ? "owes the studio" : "is owed by the studio")} {MoneyText.Of(Math.Abs(balance), currency)} {currency.Code}" },
            .. pieces.Count == 0 ? [] : new[] { $"has {Count(pieces.Count, "piece")} here ({named}{(pieces.Count > MostInWords ? ", …" : "")})" },
            .. bookings.Count == 0 ? [] : new[] { $"has {Count(bookings.Count, "booking")} for firings to come" },
        ];
        return Refusal.Conflict(
            "studios.member-leaves-things",
            $"{member.Name} {string.Join(", and ", left)}. Settle that first, or send it again with ?leaving=keep: then the tokens end at once, while "
                + $"balance, ware and bookings stay on the books.") with
        {
            Values = new Dictionary<string, object?>(StringComparer.Ordinal)
            {
                ["balanceMinor"] = balance,
                ["currency"] = currency.Code,
                ["pieces"] = pieces.Select(p => new { pieceId = p.Id.Value, name = p.Making.Name, mark = p.Making.Mark }).ToList(),
                ["bookings"] = bookings.Select(b => new { bookingId = b.Id.Value, firingId = b.FiringId.Value }).ToList(),
            },
        };
    }

    /// <summary>Pieces that are neither put away nor lost nor collected, copy for copy.</summary>
    private static IQueryable<Piece> PiecesHere(KilnShareDb db, Member member) => db.Set<Piece>().AsNoTracking()
        .Where(p => p.StudioId == member.StudioId && p.MemberId == member.Id && p.ArchivedAt == null
            && db.Set<PieceCopy>().Any(c => c.StudioId == p.StudioId && c.PieceId == p.Id && c.Stage != Stage.Lost
                && !db.Set<CustodyEvent>().Any(e => e.StudioId == c.StudioId && e.PieceId == c.PieceId && e.Copy == c.Copy && e.Kind == CustodyKind.Collected
                    && !db.Set<CustodyEvent>()
                        .Any(later => later.StudioId == c.StudioId && later.PieceId == c.PieceId && later.Copy == c.Copy && later.At > e.At))))
        .OrderBy(p => p.Id);

    /// <summary>Bookings that hold or await room in firings that are not unloaded.</summary>
    private static IQueryable<Booking> BookingsAhead(KilnShareDb db, Member member) => db.Set<Booking>().AsNoTracking()
        .Where(b => b.StudioId == member.StudioId && b.MemberId == member.Id && b.State != BookingState.Withdrawn
            && db.Set<Firing>().Any(f => f.StudioId == b.StudioId && f.Id == b.FiringId
                && f.State != FiringState.Unloaded && f.State != FiringState.Settled && f.State != FiringState.Cancelled))
        .OrderBy(b => b.Id);

    private static string Count(int count, string what) => $"{(count == MostNamed ? $"{count} or more" : count)} {what}{(count == 1 ? "" : "s")}";
}
