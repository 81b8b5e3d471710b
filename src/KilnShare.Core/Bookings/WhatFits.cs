using KilnShare.Core.Common;

namespace KilnShare.Core.Bookings;

/// <summary>How much of the wanted ware a firing holds where it does not hold all of it, by the search that decides bookings.</summary>
/// <param name="Taken">The copies that were found room together.</param>
/// <param name="Rest">The others. Where the search was not cut short, the first of them beside those taken was found none.</param>
/// <param name="Decision">The firing with the copies taken; null where none is.</param>
public sealed record WhatFits(IReadOnlyList<HeldCopy> Taken, IReadOnlyList<HeldCopy> Rest, BookingDecision? Decision)
{
    /// <summary>The value of a refusal that says how many of the copies do fit.</summary>
    public const string Fits = "fits";

    /// <summary>Searches for the number: no more searches than twice its binary digits, and three.</summary>
    /// <param name="wanted">The copies; all of them together were refused.</param>
    /// <param name="placed">Those that the try that moves nothing places: they come first, and their number is tried first.</param>
    /// <param name="once">True: only their number is tried.</param>
    /// <param name="attempt">The search that decides bookings, for so many of them.</param>
    public static WhatFits Find(
        IReadOnlyList<HeldCopy> wanted, IReadOnlyList<HeldCopy> placed, bool once, Func<IReadOnlyList<HeldCopy>, Result<BookingDecision>> attempt)
    {
        IReadOnlyList<HeldCopy> ordered = [.. placed, .. wanted.Except(placed)];
        var (most, least, step) = (ordered.Count, 0, 1);
        BookingDecision? held = null;
        var next = Math.Min(placed.Count, most - 1);
        while (least + 1 < most)
        {
            if (next > least && attempt([.. ordered.Take(next)]).TryGet(out var decision, out _)) (least, held) = (next, decision);
            else if (next > least) (most, step) = (next, 0);
            if (once) break;
            // The try that moves nothing usually comes near the number: from there in steps that double, and between the last two by halving.
            next = least + step < most && step > 0 ? least + step : least + ((most - least) / 2);
            step *= 2;
        }

        return new WhatFits([.. ordered.Take(least)], [.. ordered.Skip(least)], held);
    }

    /// <summary>A refusal of all of them that says how many do fit.</summary>
    public Refusal Tell(Refusal refusal) => refusal with
    {
        Message = Taken.Count == 0 ? refusal.Message
            : $"{refusal.Message} Of these {Taken.Count + Rest.Count} copies {Taken.Count} do fit: book with takeWhatFits, and the rest waits.",
        Values = new Dictionary<string, object?>(refusal.Values, StringComparer.Ordinal) { [Fits] = Taken.Count },
    };
}
