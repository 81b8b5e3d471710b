using KilnShare.Core.Common;
using KilnShare.Core.Loading;

namespace KilnShare.Core.Bookings;

/// <summary>Plans that the furniture was taken from: whether they still stand, and the same ware planned on the furniture that exists.</summary>
public static class PlanAnew
{
    /// <summary>True where a plan breaks no rule on this furniture: its shelves and posts exist, and nothing stands in the way.</summary>
    public static bool Stands(FiringRoom onNew) =>
        onNew.Problem([], Keep.All).TryGet(out var problem, out _) && LoadChecks.Violations(problem, onNew.CurrentPlan()).Count == 0;

    /// <summary>Every copy that is held, on the furniture that exists; refused with those that find no place.</summary>
    public static Result<BookingDecision> Decide(FiringRoom onNew, RoomSearch search, CancellationToken cancel)
    {
        var empty = onNew with { Held = [], Shelves = [], Posts = [] };
        if (!empty.Problem(onNew.Held, Keep.None).TryGet(out var problem, out var refusal)) return refusal;
        var plan = LoadSearch.Solve(problem, new LoadOptions { Seed = search.Seed }, WorkBudget.OfIterations(search.FullIterations, cancel));
        if (plan.Unplaced.Count > 0) return NotAll(onNew, plan);
        if (LoadChecks.Violations(problem, plan) is { Count: > 0 } violations)
            throw new InvalidOperationException(
                $"The planner broke its rules (seed {search.Seed}, load version {onNew.LoadVersion}): {string.Join("; ", violations)}");
        return new BookingDecision(plan, empty.Placed(onNew.Held, plan), []);
    }

    /// <summary>Why nothing is booked, fixed or loaded on a plan whose furniture is gone.</summary>
    public static Refusal Gone(FiringRoom onNew) => Refusal.Conflict(
        "loading.furniture-changed",
        $"The shelves or posts of {onNew.Kiln.Name} were changed, and this firing's plan does not stand on what is there now. Until a technician plans it anew "
        + "(POST to the firing's load-plan), nothing more is booked, fixed or loaded in it; who is booked stays booked.");

    private static Refusal NotAll(FiringRoom onNew, LoadPlan plan)
    {
        var left = plan.Unplaced.SelectMany(u => u.Copies.Select(index => onNew.Named([], u.PieceId, index))).ToList();
        var names = left.Select(c => c.Frozen.Mark is { } mark ? $"{c.Frozen.Name} ({mark})" : c.Frozen.Name).Distinct(StringComparer.Ordinal).ToList();
        return Refusal.Rule(
            "loading.no-place-found",
            $"On the furniture that {onNew.Kiln.Name} has now, {onNew.Held.Count - left.Count} of the {onNew.Held.Count} booked copies find a place. Left "
                + $"over: {string.Join(", ", names)}. "
            + "Withdraw some of what is booked, or write the missing shelves and posts down again, and plan anew.") with
        {
            Values = new Dictionary<string, object?>(StringComparer.Ordinal)
            {
                ["fits"] = onNew.Held.Count - left.Count,
                ["copies"] = left.Select(c => new { bookingId = c.BookingId.Value, pieceId = c.IsRoom ? (Guid?)null : c.PieceId.Value, copy = c.Copy })
                    .ToList(),
            },
        };
    }
}
