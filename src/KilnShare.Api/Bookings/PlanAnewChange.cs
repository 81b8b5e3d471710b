using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Everything that is booked, planned on the furniture that exists. A plan that stands on it already is left as it is.</summary>
public sealed class PlanAnewChange(KilnShareDb db, Caller caller, IClock clock) : PlanChange<FiringRoom, FiringRoom>
{
    /// <inheritdoc/>
    public override WriteWhile Allowed => WriteWhile.Always;

    /// <inheritdoc/>
    public override bool PlansAnew => true;

    /// <inheritdoc/>
    public override Task<Result<FiringRoom>> Read(RoomSnapshot snapshot, CancellationToken cancellation) => Task.FromResult<Result<FiringRoom>>(
        snapshot.Firing.State > FiringState.Fixed
            ? Refusal.Conflict(
                "bookings.already-loaded", $"The firing is {FiringStates.Word(snapshot.Firing.State)}: its ware is in the kiln, and its plan stays as it is.")
            : snapshot.Anew ?? snapshot.Room);

    /// <inheritdoc/>
    public override Result<BookingDecision> Decide(RoomSnapshot snapshot, FiringRoom read, bool insertOnly, CancellationToken cancellation)
    {
        if (snapshot.Anew is null) return new BookingDecision(read.CurrentPlan(), read.Held, []);
        var decided = PlanAnew.Decide(read, BookingSearch.Of(snapshot), cancellation);
        return snapshot.Firing.State == FiringState.Fixed && decided.TryGet(out var anew, out _) ? PlanForHands.After(read, anew, cancellation) : decided;
    }

    /// <inheritdoc/>
    public override FiringRoom Write(RoomSnapshot snapshot, FiringRoom read, BookingDecision decision)
    {
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.plan-anew", snapshot.Firing.Id.Value, clock);
        if (snapshot.SomeoneWaits) db.Add(BookingRows.Promotion(caller.StudioId, snapshot.Firing.Id, clock));
        return read;
    }
}
