using System.Globalization;

namespace KilnShare.Core.Costs.Quotes;

/// <summary>How full a firing of the kiln was.</summary>
/// <param name="VolumeCm3">Room of its ware.</param>
/// <param name="Members">Members who shared it.</param>
public sealed record PastFill(decimal VolumeCm3, int Members);

/// <summary>How full a firing may become.</summary>
/// <param name="LikelyCm3">Room of its ware, by this kiln's past.</param>
/// <param name="LikelyMembers">Members who share it then.</param>
/// <param name="FullCm3">Room of its ware when it is full.</param>
/// <param name="FullMembers">Members who share it then.</param>
/// <param name="Firings">On how many past firings it rests.</param>
/// <param name="Sentence">The same in words, without anybody's figures.</param>
public sealed record FillOutlook(decimal LikelyCm3, int LikelyMembers, decimal FullCm3, int FullMembers, int Firings, string Sentence)
{
    /// <summary>So many of the newest settled firings of the kind count.</summary>
    public const int MostFirings = 10;

    /// <summary>
    /// Of a kiln's room ware takes so much when it is full; shelves, posts and what no piece fits into take the rest. Common practice, no source.
    /// </summary>
    public const decimal FullOfCapacity = 0.6m;

    /// <summary>
    /// Likely is what the middle one of the kiln's past firings held, full what the fullest held or six tenths of the kiln; never less than is booked. Without
    /// a past nobody knows who will join: likely is then what is booked.
    /// </summary>
    /// <param name="past">The kiln's newest settled firings of the kind.</param>
    /// <param name="capacityCm3">What the kiln holds.</param>
    /// <param name="uses">Who has booked what.</param>
    public static FillOutlook Of(IReadOnlyList<PastFill> past, decimal capacityCm3, IReadOnlyList<MemberUse> uses)
    {
        var (booked, members) = (uses.Sum(u => u.VolumeCm3 ?? 0), uses.Count);
        var likely = Math.Max(booked, Middle([.. past.Select(p => p.VolumeCm3)]) ?? 0);
        var full = Math.Max(Math.Max(likely, decimal.Round(capacityCm3 * FullOfCapacity, 3)), past.Select(p => p.VolumeCm3).DefaultIfEmpty(0).Max());
        var likelyMembers = likely == booked ? members : Math.Max(members, (int)(Middle([.. past.Select(p => (decimal)p.Members)]) ?? 0));
        return new FillOutlook(
            likely, likelyMembers, full, Math.Max(
                likelyMembers, past.Select(p => p.Members).DefaultIfEmpty(0).Max()), past.Count, Words(past.Count, likely == booked));
    }

    /// <summary>
    /// The uses of a firing that has come to so much room: beside them as many alike as join; where nobody more joins, the others have more ware in it.
    /// </summary>
    /// <param name="uses">Who has booked what.</param>
    /// <param name="volumeCm3">Room of all ware then.</param>
    /// <param name="members">Members then.</param>
    /// <param name="member">Whose ware stays as it is.</param>
    public static IReadOnlyList<MemberUse> Joined(IReadOnlyList<MemberUse> uses, decimal volumeCm3, int members, string member)
    {
        var (booked, others) = (uses.Sum(u => u.VolumeCm3 ?? 0), uses.Where(u => !string.Equals(u.Id, member, StringComparison.Ordinal))
            .Sum(u => u.VolumeCm3 ?? 0));
        if (booked == 0 || volumeCm3 <= booked) return uses;
        if (members <= uses.Count && others > 0)
            return [.. uses.Select(u => string.Equals(u.Id, member, StringComparison.Ordinal) ? u : Times(u, (volumeCm3 - booked + others) / others))];
        var joining = Math.Max(1, members - uses.Count);
        var of = (volumeCm3 - booked) / booked / joining;
        return [.. uses, .. Enumerable.Range(1, joining).Select(i => new MemberUse(
            string.Create(CultureInfo.InvariantCulture, $"joining-{i}"),
            (long)Math.Ceiling(uses.Sum(u => u.Pieces ?? 0) * of),
            Of(uses, u => u.FootprintCm2, of), Of(uses, u => u.VolumeCm3, of), Of(uses, u => u.MassG, of), Of(uses, u => u.OwnHeatKwh, of), Tallest(uses)))];
    }

    private static MemberUse Times(MemberUse use, decimal times) => use with
    {
        Pieces = use.Pieces is { } pieces ? (long)Math.Ceiling(pieces * times) : null,
        FootprintCm2 = use.FootprintCm2 is { } area ? decimal.Round(area * times, 3) : null,
        VolumeCm3 = use.VolumeCm3 is { } volume ? decimal.Round(volume * times, 3) : null,
        MassG = use.MassG is { } mass ? decimal.Round(mass * times, 3) : null,
        OwnHeatKwh = use.OwnHeatKwh is { } heat ? decimal.Round(heat * times, 3) : null,
    };

    /// <summary>Of all the uses' measure so much; null where it is not known of one.</summary>
    private static decimal? Of(IReadOnlyList<MemberUse> uses, Func<MemberUse, decimal?> measure, decimal part) =>
        uses.All(u => measure(u) is not null) ? decimal.Round(uses.Sum(u => measure(u)!.Value) * part, 3) : null;

    /// <summary>Who joins stands as high on each level as what is there.</summary>
    private static IReadOnlyList<decimal>? Tallest(IReadOnlyList<MemberUse> uses) => uses.All(u => u.LevelHeightsMm is not null)
        ? [.. Enumerable.Range(0, uses[0].LevelHeightsMm!.Count).Select(level => uses.Max(u => u.LevelHeightsMm![level]))] : null;

    private static decimal? Middle(decimal[] values)
    {
        if (values.Length == 0) return null;
        Array.Sort(values);
        return (values[(values.Length - 1) / 2] + values[values.Length / 2]) / 2;
    }

    private static string Words(int firings, bool asBooked) => (firings, asBooked) switch
    {
        (0, _) => "No firing of this kind in this kiln was settled yet, so nobody knows how full it will be: likely is what is booked now, low is a full kiln.",
        (_, true) => $"It is as full already as the middle one of this kiln's last {Count(firings)} of this kind.",
        _ => $"Likely is as full as the middle one of this kiln's last {Count(firings)} of this kind, low is a full kiln, high is what is booked now.",
    };

    private static string Count(int firings) => firings == 1 ? "firing" : $"{firings} firings";
}
