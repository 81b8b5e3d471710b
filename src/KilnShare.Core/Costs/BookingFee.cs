using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Costs;

/// <summary>What a booking came to cost without being fired.</summary>
public enum BookingFeeKind
{
    /// <summary>It was withdrawn late.</summary>
    Withdrawal,

    /// <summary>Its firing was called off.</summary>
    Cancellation,
}

/// <summary>A fee for a booking that was not fired: once a booking, written with its withdrawal.</summary>
public sealed class BookingFee(
    Id<Studio> studioId, Id<Booking> bookingId, Id<Firing> firingId, Id<Member> memberId, BookingFeeKind kind, long amountMinor, Instant at)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The booking.</summary>
    public Id<Booking> BookingId { get; private set; } = bookingId;

    /// <summary>Its firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>Who owes it.</summary>
    public Id<Member> MemberId { get; private set; } = memberId;

    /// <summary>Why.</summary>
    public BookingFeeKind Kind { get; private set; } = kind;

    /// <summary>Minor units, above 0.</summary>
    public long AmountMinor { get; private set; } = amountMinor;

    /// <summary>What the booking was quoted; null where it was not quoted, and a part of it came to 0.</summary>
    public long? QuotedMinor { get; init; }

    /// <summary>When.</summary>
    public Instant At { get; private set; } = at;

    /// <summary>Its line in the ledger: the member owes it to the studio.</summary>
    public LedgerEntry Entry(Currency currency) => new(
        At, EntryKind.Adjustment, Account.OfMember(MemberId.ToString()), Account.StudioShare, AmountMinor, currency, BookingId.ToString(), PartOf(Kind));

    /// <summary>The fee of withdrawing a confirmed booking now; null where it costs nothing, as giving up reserved room does.</summary>
    public static BookingFee? OfWithdrawal(Booking booking, CostRules rules, long? quotedMinor, Instant startsAt, Instant now) =>
        Of(booking, BookingFeeKind.Withdrawal, rules.Withdrawal.FeeMinor(quotedMinor ?? 0, startsAt - now), quotedMinor, now);

    /// <summary>The fee of a confirmed booking whose firing is called off; null where it costs nothing.</summary>
    public static BookingFee? OfCancellation(Booking booking, CostRules rules, long? quotedMinor, Instant now) =>
        Of(booking, BookingFeeKind.Cancellation, new WithdrawalStep(0, rules.Failed.CancelledPercent).FeeMinor(quotedMinor ?? 0), quotedMinor, now);

    private static BookingFee? Of(Booking booking, BookingFeeKind kind, long feeMinor, long? quotedMinor, Instant now) =>
        booking.State != BookingState.Confirmed || booking.ReservedUntil is not null || feeMinor == 0
            ? null
            : new BookingFee(booking.StudioId, booking.Id, booking.FiringId, booking.MemberId, kind, feeMinor, now) { QuotedMinor = quotedMinor };

    private static string PartOf(BookingFeeKind kind) => kind == BookingFeeKind.Withdrawal ? "withdrawal" : "cancellation";
}
