using KilnShare.Core.CoFiring;

namespace KilnShare.Core.Bookings;

/// <summary>What became doubtful of booked ware because a clay or a glaze of it is known otherwise now. It unbooks nobody.</summary>
public static class WareDoubts
{
    /// <summary>What the rules say of the ware as it is known now and did not say of it as it was booked; empty while nothing is worse.</summary>
    /// <param name="room">The firing, its ware as booked.</param>
    /// <param name="now">The same copies with their clays and glazes as they are known now.</param>
    public static IReadOnlyList<Finding> Of(FiringRoom room, IReadOnlyList<HeldCopy> now)
    {
        if (now.SequenceEqual(room.Held)) return [];
        var booked = FindingsOn(room, room.Held).ToLookup(f => f.Rule, StringComparer.Ordinal);
        return [.. FindingsOn(room, now).Where(f => f.Verdict != Verdict.Compatible && !booked[f.Rule].Any(former => Covers(former, f)))];
    }

    private static IReadOnlyList<Finding> FindingsOn(FiringRoom room, IReadOnlyList<HeldCopy> copies) =>
        BookingDecision.FindingsOn(room with { Held = [] }, copies);

    private static bool Covers(Finding former, Finding finding) =>
        former.Verdict <= finding.Verdict && finding.Pieces.All(p => former.Pieces.Contains(p, StringComparer.Ordinal));
}
