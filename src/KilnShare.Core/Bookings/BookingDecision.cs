using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Loading;

namespace KilnShare.Core.Bookings;

/// <summary>How hard a booking searches for room.</summary>
/// <param name="Seed">Of both searches; a refusal names it, so that it can be replayed.</param>
/// <param name="InsertIterations">Of the try that moves nothing.</param>
/// <param name="FullIterations">Of the search that may move everything.</param>
public sealed record RoomSearch(ulong Seed, long InsertIterations, long FullIterations)
{
    /// <summary>Tries to find what would have to stay out, before a refusal; 0: it is not looked for.</summary>
    public long MakeRoomTries { get; init; } = 100;
}

/// <summary>What a booking would make of a firing.</summary>
/// <param name="Plan">The next plan.</param>
/// <param name="Copies">Every copy in its place, the new ones too.</param>
/// <param name="Findings">What the rules say that touches the new copies.</param>
public sealed record BookingDecision(LoadPlan Plan, IReadOnlyList<HeldCopy> Copies, IReadOnlyList<Finding> Findings)
{
    /// <summary>The value of a refusal that says whether room may come free: true; false where this kiln never holds it, however empty.</summary>
    public const string WaitingHelps = "waitingHelps";

    /// <summary>What the rules say of new copies in a firing: findings that name them, or the firing itself.</summary>
    public static IReadOnlyList<Finding> FindingsOn(FiringRoom room, IReadOnlyList<HeldCopy> added)
    {
        var wares = FiringRoom.Wares([.. room.Held, .. added]);
        if (wares.Count == 0) return [];
        var answer = CoFiringCheck.Check(room.Plan, wares, room.Evidence);
        var names = added.Where(c => !c.IsRoom).Select(FiringRoom.NameOfWare).ToHashSet(StringComparer.Ordinal);
        return [.. answer.Pieces.Where(p => names.Contains(p.Id)).SelectMany(p => p.Findings)
            .Concat(answer.Between.Where(f => f.Pieces.Count == 0 || f.Pieces.Any(names.Contains))).Select(FiringRoom.NamePieces)];
    }

    /// <summary>Finds room: first without moving anything, then anew. Refused when there is none, with the seed to replay it.</summary>
    public static Result<BookingDecision> FindRoom(
        FiringRoom room, IReadOnlyList<HeldCopy> added, IReadOnlyList<Finding> findings, RoomSearch search, bool insertOnly, CancellationToken cancel)
    {
        if (room.Kiln.MassLimitG is { } limit && MassOf(room.Held) + MassOf(added) > limit)
            return TooHeavy(limit, room, added);
        var wishes = added.Any(c => c.Frozen.Wish is not null);
        (BookingDecision Decision, int Unmet)? found = null;
        LoadPlan? best = null;
        foreach (var (keep, iterations) in new[] { (Keep.All, search.InsertIterations), (Keep.None, search.FullIterations) })
        {
            if (keep == Keep.None && insertOnly) break;
            if (!room.Problem(added, keep).TryGet(out var problem, out var refusal))
            {
                // The kiln may have changed since, so that the plan as it is breaks a rule: then only all of it anew will do.
                if (keep == Keep.All && !insertOnly) continue;
                return refusal;
            }

            best = LoadSearch.Solve(problem, new LoadOptions { Seed = search.Seed }, WorkBudget.OfIterations(iterations, cancel));
            if (best.Unplaced.Count > 0) continue;
            if (LoadChecks.Violations(problem, best) is { Count: > 0 } violations)
                throw new InvalidOperationException(
                    $"The planner broke its rules (seed {search.Seed}, load version {room.LoadVersion}): {string.Join("; ", violations)}");
            var unmet = wishes ? problem.UnmetIn(best) : 0;
            if (found is null || unmet < found.Value.Unmet) found = (new BookingDecision(best, room.Placed(added, best), findings), unmet);
            // A wish that goes unmet where nothing moves is worth a look at the whole load anew.
            if (unmet == 0) break;
        }

        if (found is { Decision: var decision }) return decision;
        return NoRoom(best!, room, added, search, insertOnly ? null : RoomNeeded.Find(room, added, search, cancel));
    }

    /// <summary>Those of the new copies that the try that moves nothing finds a place for.</summary>
    public static IReadOnlyList<HeldCopy> Inserted(FiringRoom room, IReadOnlyList<HeldCopy> added, RoomSearch search, CancellationToken cancel)
    {
        if (!room.Problem(added, Keep.All).TryGet(out var problem, out _)) return [];
        var plan = LoadSearch.Solve(problem, new LoadOptions { Seed = search.Seed }, WorkBudget.OfIterations(search.InsertIterations, cancel));
        var placed = room.Placed(added, plan).Select(c => (c.BookingId, c.PieceId, c.Copy)).ToHashSet();
        return [.. added.Where(c => placed.Contains((c.BookingId, c.PieceId, c.Copy)))];
    }

    /// <summary>The firing without some of its copies: what stays is put in order where that works, and stays as it is where not.</summary>
    public static BookingDecision Without(FiringRoom room, Func<HeldCopy, bool> leaves, RoomSearch search, bool insertOnly, CancellationToken cancel)
    {
        var rest = room with { Held = [.. room.Held.Where(c => !leaves(c))] };
        if (rest.Held.Count == 0) return new BookingDecision(new LoadPlan([], [], [], Length.Zero, 0, 0, StopReason.Proven, 0), [], []);
        return FindRoom(rest, [], [], search, insertOnly, cancel).TryGet(out var moved, out _) ? moved : new BookingDecision(rest.CurrentPlan(), rest.Held, []);
    }

    /// <summary>Mass of ware, g; what was not weighed counts nothing.</summary>
    public static decimal MassOf(IEnumerable<HeldCopy> copies) => copies.Sum(c => c.Frozen.MassG ?? 0);

    private static Refusal TooHeavy(decimal limit, FiringRoom room, IReadOnlyList<HeldCopy> added) => Refusal.Rule(
        "loading.too-heavy",
        $"{room.Kiln.Name} carries {limit / 1000} kg; {MassOf(room.Held) / 1000} kg are booked and {WareNames.Of(added)} adds {MassOf(added) / 1000} kg. "
            + $"Book less, or another firing.") with
    {
        Values = new Dictionary<string, object?>(StringComparer.Ordinal) { [WaitingHelps] = MassOf(added) <= limit },
    };

    private static Refusal NoRoom(LoadPlan plan, FiringRoom room, IReadOnlyList<HeldCopy> added, RoomSearch search, RoomNeeded? needed)
    {
        var proven = plan.Unplaced.FirstOrDefault(u => u.Reason != UnplacedReason.NoPlaceFound);
        var ware = proven is null ? WareNames.Of(added) : WareNames.Of([room.Named(added, proven.PieceId, proven.Copies[0])]);
        var (code, message) = proven?.Reason switch
        {
            UnplacedReason.TooTall => ("loading.cannot-fit", $"{ware} is too tall for {room.Kiln.Name}. Choose a taller kiln."),
            UnplacedReason.TooWide => ("loading.cannot-fit", $"{ware} lies on no shelf of {room.Kiln.Name}, however turned. Choose a wider kiln."),
            UnplacedReason.CannotFit =>
                ("loading.cannot-fit", $"There is no room for {ware} beside what is booked. Choose another firing, or wait: book with mayWait."),
            _ => ("loading.no-place-found",
                $"No place was found for {ware} beside what is booked. Wait (book with mayWait), choose another firing, or ask a technician, who may place "
                    + $"it by hand."),
        };
        return Refusal.Rule(code, needed is null ? message : $"{message} {needed.Message}") with
        {
            Values = new Dictionary<string, object?>(StringComparer.Ordinal)
            {
                ["loadVersion"] = room.LoadVersion,
                ["seed"] = search.Seed,
                ["iterations"] = plan.Iterations,
                [WaitingHelps] = proven?.Reason is not (UnplacedReason.TooTall or UnplacedReason.TooWide),
                ["wouldFitWithout"] = needed is null ? null
                    : new { own = needed.Own.Select(c => new { pieceId = c.IsRoom ? (Guid?)null : c.PieceId.Value, copy = c.Copy }), others = needed.Others },
            },
        };
    }
}
