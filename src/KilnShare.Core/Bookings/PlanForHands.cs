using KilnShare.Core.Common;
using KilnShare.Core.Loading;

namespace KilnShare.Core.Bookings;

/// <summary>
/// A plan as hands load by it. While bookings come, pieces stand close together, so that the room that is left is in one piece for the next; once the firing
/// is fixed, it is shared out.
/// </summary>
public static class PlanForHands
{
    /// <summary>Work that the tries to share out are a tenth of, in iterations. Our choice: as many tries a shelf as are ever made.</summary>
    private const long Iterations = 10_000;

    /// <summary>The same shelves with the same ware on each, its room shared out; null where nothing moves by it.</summary>
    /// <param name="room">The firing on the furniture that its plan stands on.</param>
    /// <param name="cancel">The caller leaves.</param>
    public static BookingDecision? Decide(FiringRoom room, CancellationToken cancel)
    {
        var (plan, empty) = (room.CurrentPlan(), room with { Held = [], Shelves = [], Posts = [] });
        if (room.Held.Count == 0 || !empty.Problem(room.Held, Keep.None).TryGet(out var problem, out _)) return null;
        var shared = SharingOut.Of(problem, plan, new LoadOptions(), WorkBudget.OfIterations(Iterations, cancel));
        if (PlacesIn(shared).SequenceEqual(PlacesIn(plan)) || LoadChecks.Violations(problem, shared).Count > 0) return null;
        return new BookingDecision(shared, empty.Placed(room.Held, shared), []);
    }

    /// <summary>A decision on a fixed firing, with the room of its plan shared out.</summary>
    public static BookingDecision After(FiringRoom room, BookingDecision decision, CancellationToken cancel)
    {
        var then = room with { Held = decision.Copies, Shelves = decision.Plan.Shelves, Posts = decision.Plan.Posts };
        return Decide(then, cancel) is { } shared ? shared with { Findings = decision.Findings } : decision;
    }

    private static IEnumerable<(Length X, Length Y, int Turn)> PlacesIn(LoadPlan plan) =>
        plan.Shelves.SelectMany(s => s.Placements).Select(p => (p.X, p.Y, p.RotationThousandths));
}
