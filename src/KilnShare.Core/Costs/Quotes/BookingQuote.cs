using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Costs.Quotes;

/// <summary>
/// What a booking was quoted when it got its place, and again when it was changed: kept, so that a late withdrawal and the final bill can be held
/// against it.
/// </summary>
public sealed class BookingQuote(
    Id<Studio> studioId, Id<Booking> bookingId, long loadVersion, Id<Firing> firingId, Id<Member> memberId, QuotedCost quoted, Instant at)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The booking.</summary>
    public Id<Booking> BookingId { get; private set; } = bookingId;

    /// <summary>The version of the plan by which it got its place: of several quotes the highest holds.</summary>
    public long LoadVersion { get; private set; } = loadVersion;

    /// <summary>Its firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>Whose it is.</summary>
    public Id<Member> MemberId { get; private set; } = memberId;

    /// <summary>What was quoted.</summary>
    public QuotedCost Quoted { get; private set; } = quoted;

    /// <summary>When.</summary>
    public Instant At { get; private set; } = at;
}

/// <summary>A quote as it is kept.</summary>
/// <param name="Whole">What the member's ware in the firing would cost, that booked before included.</param>
/// <param name="BookedMinor">What of it falls to this booking, by room.</param>
/// <param name="EnergyKwh">The energy assumed.</param>
/// <param name="Basis">What it was divided by.</param>
public sealed record QuotedCost(MinorRange Whole, long BookedMinor, decimal EnergyKwh, FiringCostBasis Basis)
{
    /// <summary>What is kept of a quote for ware that takes so much room.</summary>
    public static QuotedCost Of(FiringQuote quote, decimal volumeCm3) => new(quote.Charged, quote.LikelyFor(volumeCm3), quote.Energy.Kwh, quote.Basis);
}
