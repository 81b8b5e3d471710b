using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using NodaTime;
using NodaTime.Text;

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
    private static readonly InstantPattern Moment = InstantPattern.CreateWithInvariantCulture("uuuu-MM-dd HH:mm 'UTC'");

    /// <summary>The step a booking would be: the copy's next one, or, booked ahead, the first after those that are booked.</summary>
    /// <param name="next">The copy's next step.</param>
    /// <param name="live">What it is booked for.</param>
    /// <param name="ahead">Whether it is booked ahead.</param>
    public static Result<int> StepOf(int next, IReadOnlyList<BookedStep> live, bool ahead)
    {
        for (var step = next; ; step++)
        {
            if (live.FirstOrDefault(b => b.Step == step) is not { } taken) return step;
            if (!ahead) return AlreadyBooked(taken.FiringId);
        }
    }

    /// <summary>Refuses a firing that is lit before an earlier step is unloaded, or unloaded after a later one is lit.</summary>
    public static Refusal? CheckOrder(int step, Instant startsAt, Instant endsAt, IReadOnlyList<BookedStep> live)
    {
        if (live.Where(b => b.Step < step && b.EndsAt > startsAt).MaxBy(b => b.EndsAt) is { } before) return Refusal.Rule(
            "bookings.before-its-time",
            $"The {Word(before)} that comes first is to be unloaded at {Moment.Format(before.EndsAt)}. Choose a firing that is lit after that.", "/pieces");
        return live.Where(b => b.Step > step && b.StartsAt < endsAt).MinBy(b => b.StartsAt) is { } after ? Refusal.Rule(
            "bookings.after-its-time",
            $"The {Word(after)} that comes next is to be lit at {Moment.Format(after.StartsAt)}. Choose a firing that is unloaded before that, or withdraw the later booking.", "/pieces") : null;
    }

    /// <summary>What stands against a booking ahead, given what became of the steps before it; null: nothing does.</summary>
    /// <param name="copy">The copy as it is.</param>
    /// <param name="step">The step that is booked.</param>
    /// <param name="startsAt">When that firing is to be lit.</param>
    /// <param name="live">What the copy is booked for.</param>
    public static BookingDoubt? Doubt(PieceCopy copy, int step, Instant startsAt, IReadOnlyList<BookedStep> live)
    {
        if (copy.Stage == Stage.Lost) return new BookingDoubt("bookings.copy-lost", "The copy was lost in an earlier firing. Withdraw this booking.");
        for (var before = copy.Step; before < step; before++)
        {
            if (live.FirstOrDefault(b => b.Step == before) is not { } earlier) return new BookingDoubt(
                "bookings.earlier-step-missing", "A firing that must come first is no longer booked. Book it again to be unloaded before this one is lit, or withdraw this booking.");
            if (earlier.EndsAt > startsAt) return new BookingDoubt(
                "bookings.earlier-step-late", $"The {Word(earlier)} before it is now to be unloaded at {Moment.Format(earlier.EndsAt)}, after this firing is lit. Move one of the two.");
        }

        return null;
    }

    /// <summary>The refusal of a copy that is booked for this step already.</summary>
    public static Refusal AlreadyBooked(Id<Firing>? firing) => Refusal.Conflict(
        "pieces.already-booked",
        "A copy in this booking is booked for its next firing already. Withdraw that booking first, name only the other copies, or book ahead for the step after.", "/pieces") with
    {
        Values = new Dictionary<string, object?>(StringComparer.Ordinal) { ["firingId"] = firing?.Value },
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
