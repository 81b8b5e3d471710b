using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using NodaTime;

namespace KilnShare.Core.Bookings;

/// <summary>A firing that a copy is booked for.</summary>
/// <param name="Step">Which step of the copy's route it is.</param>
/// <param name="FiringId">The firing.</param>
/// <param name="Aim">What it is to be.</param>
/// <param name="StartsAt">When it is to be lit.</param>
/// <param name="EndsAt">When it is to be unloaded.</param>
public sealed record BookedStep(int Step, Id<Firing> FiringId, FiringAim Aim, Instant StartsAt, Instant EndsAt);

/// <summary>Why a booking ahead may come to nothing: something became of a firing before it.</summary>
/// <param name="Code">A stable word for it.</param>
/// <param name="Message">What to do about it.</param>
public sealed record BookingDoubt(string Code, string Message);

/// <summary>Copies booked for several steps of their route: each firing is lit after the one before it is unloaded.</summary>
public static class BookingAhead
{
    /// <summary>The step a booking would be: the copy's next one, or, booked ahead, the first after those that are booked.</summary>
    /// <param name="next">The copy's next step.</param>
    /// <param name="live">What it is booked for.</param>
    /// <param name="ahead">Whether it is booked ahead.</param>
    /// <returns>The step, and null; or the firing that it is booked for already.</returns>
    public static (int Step, Id<Firing>? Taken) StepOf(int next, IReadOnlyList<BookedStep> live, bool ahead)
    {
        for (var step = next; ; step++)
        {
            if (live.FirstOrDefault(b => b.Step == step) is not { } taken) return (step, null);
            if (!ahead) return (step, taken.FiringId);
        }
    }

    /// <summary>Refuses a firing that is lit before an earlier step is unloaded, or unloaded after a later one is lit.</summary>
    /// <param name="step">The step that is to be booked.</param>
    /// <param name="startsAt">When its firing is to be lit.</param>
    /// <param name="endsAt">When it is to be unloaded.</param>
    /// <param name="live">What the copy is booked for.</param>
    /// <param name="zone">The studio's.</param>
    public static Refusal? CheckOrder(int step, Instant startsAt, Instant endsAt, IReadOnlyList<BookedStep> live, DateTimeZone zone)
    {
        if (live.Where(b => b.Step < step && b.EndsAt > startsAt).MaxBy(b => b.EndsAt) is { } before) return Refusal.Rule(
            "bookings.before-its-time",
            $"The {Word(before)} that comes first is to be unloaded at {Moments.Of(before.EndsAt, zone)}. Choose a firing that is lit after that.", "/pieces");
        return live.Where(b => b.Step > step && b.StartsAt < endsAt).MinBy(b => b.StartsAt) is { } after ? Refusal.Rule(
            "bookings.after-its-time",
            $"The {Word(after)} that comes next is to be lit at {Moments.Of(after.StartsAt, zone)}. Choose a firing that is unloaded before that, or "
                + $"withdraw the later booking.", "/pieces") : null;
    }

    /// <summary>What stands against a booking ahead, given what became of the steps before it; null: nothing does.</summary>
    /// <param name="copy">The copy as it is.</param>
    /// <param name="step">The step that is booked.</param>
    /// <param name="startsAt">When that firing is to be lit.</param>
    /// <param name="live">What the copy is booked for.</param>
    /// <param name="zone">The studio's.</param>
    public static BookingDoubt? Doubt(PieceCopy copy, int step, Instant startsAt, IReadOnlyList<BookedStep> live, DateTimeZone zone)
    {
        if (copy.Stage == Stage.Lost) return new BookingDoubt("bookings.copy-lost", "The copy was lost in an earlier firing. Withdraw this booking.");
        for (var before = copy.Step; before < step; before++)
        {
            if (live.FirstOrDefault(b => b.Step == before) is not { } earlier) return new BookingDoubt(
                "bookings.earlier-step-missing",
                    "A firing that must come first is no longer booked. Book it again to be unloaded before this one is lit, or withdraw this booking.");
            if (earlier.EndsAt > startsAt) return new BookingDoubt(
                "bookings.earlier-step-late",
                    $"The {Word(earlier)} before it is now to be unloaded at {Moments.Of(earlier.EndsAt, zone)}, after this firing is lit. Move one "
                        + $"of the two.");
        }

        return null;
    }

    /// <summary>The refusal of a copy that is booked for this step already.</summary>
    /// <param name="ware">The copy, by name and mark.</param>
    /// <param name="firing">The firing, by what it is, kiln and day.</param>
    /// <param name="id">The firing's identity; null where it is not known any more.</param>
    public static Refusal AlreadyBooked(string ware, string firing, Id<Firing>? id) => Refusal.Conflict(
        "pieces.already-booked",
        $"{ware} is booked already for {firing}. Withdraw that booking first, name only the other copies, or book ahead for the step after.", "/pieces") with
    {
        Values = new Dictionary<string, object?>(StringComparer.Ordinal) { ["firingId"] = id?.Value },
    };

    private static string Word(BookedStep step) => step.Aim.Kind switch
    {
        FiringKind.Bisque => "bisque",
        FiringKind.UnderglazeSet => "underglaze firing",
        FiringKind.Glaze => "glaze firing",
        FiringKind.SingleFire => "single firing",
        _ => "overglaze firing",
    };
}
