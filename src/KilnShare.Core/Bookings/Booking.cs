using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Bookings;

/// <summary>Where a booking stands.</summary>
public enum BookingState
{
    /// <summary>Its copies have their places.</summary>
    Confirmed,

    /// <summary>It waits.</summary>
    Waiting,

    /// <summary>Taken back.</summary>
    Withdrawn,

    /// <summary>It went in at loading without a booking before: it has no place in the plan, and is in this kiln all the same.</summary>
    Loaded,
}

/// <summary>What a waiting booking waits for.</summary>
public enum WaitsFor
{
    /// <summary>Room on a shelf.</summary>
    Room,

    /// <summary>A technician's yes to what is not known.</summary>
    Technician,
}

/// <summary>A member's copies of pieces in a firing, or room that is kept for them for a while.</summary>
public sealed class Booking(Id<Studio> studioId, Id<Booking> id, Id<Firing> firingId, Id<Member> memberId, Instant createdAt)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<Booking> Id { get; private set; } = id;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>Whose booking it is.</summary>
    public Id<Member> MemberId { get; private set; } = memberId;

    /// <summary>Where it stands.</summary>
    public BookingState State { get; set; }

    /// <summary>What it waits for; null unless it waits.</summary>
    public WaitsFor? WaitsFor { get; set; }

    /// <summary>The rules whose word the member accepts.</summary>
    public IReadOnlyList<string> Accepts { get; set; } = [];

    /// <summary>Why a technician said yes; null where nobody had to.</summary>
    public string? TechnicianReason { get; private set; }

    /// <summary>Who said yes; null where nobody had to, or where it was not written down who did.</summary>
    public Id<Member>? ApprovedBy { get; private set; }

    /// <summary>When; null with <see cref="ApprovedBy"/>.</summary>
    public Instant? ApprovedAt { get; private set; }

    /// <summary>When a place came free for it though its firing is fixed: a technician's yes gives it. Null where none is offered.</summary>
    public Instant? OfferedAt { get; private set; }

    /// <summary>Why its firing was done without it; null where it was not let go.</summary>
    public string? LetGoReason { get; private set; }

    /// <summary>When it was let go; null with <see cref="LetGoReason"/>.</summary>
    public Instant? LetGoAt { get; private set; }

    /// <summary>Until when it keeps room for pieces that are not named yet; null for a booking of pieces.</summary>
    public Instant? ReservedUntil { get; init; }

    /// <summary>The reserved room that its pieces take over; null where they were booked without.</summary>
    public Id<Booking>? ReserveId { get; init; }

    /// <summary>True for ware that stayed behind when an earlier firing was loaded: it waits before others.</summary>
    public bool StayedBehind { get; init; }

    /// <summary>When it was made: the order of those who wait.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;

    /// <summary>Raised by every change.</summary>
    public long Version { get; set; } = 1;

    /// <summary>It begins to wait.</summary>
    public void Wait(WaitsFor reason) => (State, WaitsFor) = (BookingState.Waiting, reason);

    /// <summary>Its copies have their places.</summary>
    public void Confirm() => (State, WaitsFor, OfferedAt) = (BookingState.Confirmed, null, null);

    /// <summary>It is over.</summary>
    public void Withdraw() => (State, WaitsFor, OfferedAt, Version) = (BookingState.Withdrawn, null, null, Version + 1);

    /// <summary>Its firing is done without it, for a reason that its owner reads.</summary>
    public void LetGo(string reason, Instant at)
    {
        Withdraw();
        (LetGoReason, LetGoAt) = (reason, at);
    }

    /// <summary>A place that came free in a fixed firing is offered, or no longer is.</summary>
    public void Offer(Instant? at) => (OfferedAt, Version) = (at, Version + 1);

    /// <summary>A technician says yes.</summary>
    public void Approve(Id<Member> technician, string reason, Instant at) => (ApprovedBy, TechnicianReason, ApprovedAt) = (technician, reason, at);

    /// <summary>The yes once said to this ware holds for another booking of it.</summary>
    public void ApproveAs(Booking before) => (ApprovedBy, TechnicianReason, ApprovedAt) = (before.ApprovedBy, before.TechnicianReason, before.ApprovedAt);
}
