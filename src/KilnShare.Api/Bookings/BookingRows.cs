using KilnShare.Api.Common;
using KilnShare.Api.Access;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>The rows that a booking leaves behind.</summary>
internal static class BookingRows
{
    /// <summary>Booking and copies, with the audit and outbox rows of their making.</summary>
    public static void Add(KilnShareDb db, WantedRoom wanted, BookingState state, Caller caller, IClock clock, string action = "bookings.create")
    {
        db.Add(wanted.Booking);
        db.AddRange(wanted.Copies.Select((held, i) =>
            new BookedCopy(
                caller.StudioId, wanted.Booking.FiringId, held.PieceId, held.Copy, wanted.Steps[i], wanted.Booking.Id, held.Frozen)
            { State = state }));
        Trail.Note(db, caller.StudioId, caller.MemberId, action, wanted.Booking.Id.Value, clock);
    }

    /// <summary>True while someone waits for room in the firing.</summary>
    public static Task<bool> SomeoneWaits(KilnShareDb db, Firing firing, CancellationToken cancellation) => db.Set<Booking>().AnyAsync(
        b => b.StudioId == firing.StudioId && b.FiringId == firing.Id && b.State == BookingState.Waiting && b.WaitsFor == WaitsFor.Room, cancellation);

    /// <summary>Lets those who wait for room be tried again.</summary>
    public static JobRow Promotion(Id<Studio> studio, Id<Firing> firing, IClock clock) => Now(studio, firing, FiringJobs.Promotion, clock);

    /// <summary>Gives back what room is kept past its time then, or at once where the firing is fixed by then.</summary>
    public static JobRow Release(Id<Studio> studio, Id<Firing> firing, Instant at, IClock clock) =>
        new(studio, NewGuid(clock.GetCurrentInstant()), FiringJobs.Release, firing.Value, at);

    /// <summary>Looks whether a plan stands on furniture that was changed.</summary>
    public static JobRow Recheck(Id<Studio> studio, Id<Firing> firing, IClock clock) => Now(studio, firing, FiringJobs.Recheck, clock);

    /// <summary>Looks whether booked ware became doubtful by what a clay or a glaze is known for now.</summary>
    public static JobRow RecheckWare(Id<Studio> studio, Id<Firing> firing, IClock clock) => Now(studio, firing, FiringJobs.RecheckWare, clock);

    private static JobRow Now(Id<Studio> studio, Id<Firing> firing, string kind, IClock clock)
    {
        var now = clock.GetCurrentInstant();
        return new JobRow(studio, NewGuid(now), kind, firing.Value, now);
    }

    private static Guid NewGuid(Instant now) => Guid.CreateVersion7(now.ToDateTimeOffset());
}
