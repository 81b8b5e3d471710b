using KilnShare.Api.Access;
using KilnShare.Api.Bookings;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Costs.Quotes;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using KilnShare.Storage.Costs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>What bookings leave behind in money: the quote kept when they get their place, the fee when they are not fired.</summary>
internal static class BookingMoney
{
    /// <summary>What the booking is quoted in the load that was decided on; null where nothing can be quoted.</summary>
    public static BookingQuote? Quote(QuoteGround ground, Booking booking, RoomSnapshot snapshot, BookingDecision decision, IClock clock)
    {
        var own = FiringUses.VolumeCm3(decision.Copies.Where(c => c.BookingId == booking.Id).Select(c => c.Frozen), ground.Costs.Kiln.Making.Spacing);
        return ground.Quote([.. decision.Copies.Where(c => !c.IsRoom).Select(c => new UsedCopy(c.Frozen, c.Place?.ShelfNo))], booking.MemberId.ToString())
            .TryGet(out var quote, out _)
            ? new BookingQuote(
                booking.StudioId, booking.Id, snapshot.Room.LoadVersion + 1, booking.FiringId, booking.MemberId, QuotedCost.Of(
                    quote, own), clock.GetCurrentInstant())
            : null;
    }

    /// <summary>Writes a fee and its entry down, in the transaction of what it is for.</summary>
    public static void Charge(KilnShareDb db, BookingFee fee, Currency currency)
    {
        db.Add(fee);
        db.AddEntries(fee.StudioId, [fee.Entry(currency)]);
    }

    /// <summary>Charges the confirmed bookings of a firing that is called off what the studio's rules say; they are still confirmed.</summary>
    public static async Task ChargeCancellation(KilnShareDb db, Firing firing, IReadOnlyList<Booking> bookings, Instant now, CancellationToken cancellation)
    {
        var terms = await FeeTerms.Read(db, firing.StudioId, bookings.Select(b => b.Id), cancellation);
        foreach (var booking in bookings)
        {
            if (BookingFee.OfCancellation(booking, terms.Rules, terms.QuotedMinor(booking.Id), now) is { } fee) Charge(db, fee, terms.Currency);
        }
    }

    /// <summary>What bookings were charged, of those that were; without the amount where the caller is not shown it.</summary>
    public static async Task<Dictionary<Id<Booking>, FeeShown>> FeesOf(
        KilnShareDb db, Caller caller, IReadOnlyList<Id<Booking>> bookings, CancellationToken cancellation)
    {
        var fees = await db.Set<BookingFee>().AsNoTracking().Where(f => f.StudioId == caller.StudioId && bookings.Contains(f.BookingId))
            .ToListAsync(cancellation);
        if (fees.Count == 0) return [];
        var view = AmountsView.OfLines((await StudioReading.ReadStudio(db, cancellation)).AmountsShownTo, caller.Role, caller.MemberId);
        return fees.ToDictionary(
            f => f.BookingId, f => view.Shows(f.MemberId.ToString()) ? new FeeShown(f.AmountMinor, null) : new FeeShown(null, view.WithheldLines));
    }
}

/// <summary>What fees go by.</summary>
/// <param name="Rules">The studio's rules.</param>
/// <param name="Currency">Its currency.</param>
/// <param name="Quotes">What bookings were quoted.</param>
internal sealed record FeeTerms(CostRules Rules, Currency Currency, IReadOnlyDictionary<Id<Booking>, long> Quotes)
{
    /// <summary>What the booking was quoted; null where it was not.</summary>
    public long? QuotedMinor(Id<Booking> booking) => Quotes.TryGetValue(booking, out var minor) ? minor : null;

    /// <summary>Reads them.</summary>
    public static async Task<FeeTerms> Read(KilnShareDb db, Id<Studio> studio, IEnumerable<Id<Booking>> bookings, CancellationToken cancellation)
    {
        var ids = bookings.ToList();
        var quotes = await db.Set<BookingQuote>().AsNoTracking().Where(q => q.StudioId == studio && ids.Contains(q.BookingId)).ToListAsync(cancellation);
        return new FeeTerms(
            await StudioReading.RulesOf(db, cancellation), await StudioReading.CurrencyOf(db, cancellation),
            quotes.GroupBy(q => q.BookingId).ToDictionary(g => g.Key, g => g.MaxBy(q => q.LoadVersion)!.Quoted.BookedMinor));
    }
}
