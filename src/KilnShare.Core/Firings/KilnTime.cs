using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>The hours that a kiln is kept for its firings.</summary>
public static class KilnTime
{
    /// <summary>The first moment from which the kiln is free for so long.</summary>
    /// <param name="from">Not before this.</param>
    /// <param name="length">For so long.</param>
    /// <param name="taken">When it is kept for others.</param>
    public static Instant NextFree(Instant from, Duration length, IEnumerable<(Instant StartsAt, Instant EndsAt)> taken)
    {
        foreach (var (startsAt, endsAt) in taken.OrderBy(t => t.StartsAt))
        {
            if (startsAt < from + length && endsAt > from) from = endsAt;
        }

        return from;
    }

    /// <summary>The refusal of a firing whose hours another has: which one, and when the kiln is free for as long.</summary>
    /// <param name="kiln">The kiln's name.</param>
    /// <param name="wanted">The firing.</param>
    /// <param name="live">The kiln's other firings that end after it is to start, earliest first.</param>
    /// <param name="words">A firing in few words.</param>
    /// <param name="zone">The studio's.</param>
    public static Refusal Taken(string kiln, Firing wanted, IReadOnlyList<Firing> live, Func<Firing, string> words, DateTimeZone zone)
    {
        var next = NextFree(wanted.StartsAt, wanted.EndsAt - wanted.StartsAt, live.Select(f => (f.StartsAt, f.EndsAt)));
        var free = $"It is next free for {(wanted.EndsAt - wanted.StartsAt).TotalHours:0.#} hours from {Moments.Of(next, zone)}. Choose that start or "
            + $"another, or shorten one of the firings.";
        if (live.FirstOrDefault(f => f.StartsAt < wanted.EndsAt) is not { } other)
            return Refusal.Conflict("kilns.time-taken", $"{kiln} was kept for another firing in that time a moment ago. {free}", "/startsAt");
        return Refusal.Conflict(
            "kilns.time-taken", $"{kiln} is kept for a {words(other)} from {Moments.Of(other.StartsAt, zone)} to {Moments.Of(other.EndsAt, zone)}. {free}",
                "/startsAt") with
        {
            Values = new Dictionary<string, object?>(StringComparer.Ordinal)
            {
                ["firingId"] = other.Id.Value,
                ["startsAt"] = other.StartsAt,
                ["endsAt"] = other.EndsAt,
                ["nextFreeAt"] = next,
            },
        };
    }
}
