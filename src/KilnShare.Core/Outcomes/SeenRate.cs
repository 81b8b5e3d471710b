using System.Globalization;

namespace KilnShare.Core.Outcomes;

/// <summary>How often an outcome was seen, and between which rates it probably lies.</summary>
/// <param name="Seen">How many pieces came out so.</param>
/// <param name="Pieces">Of how many.</param>
/// <param name="Firings">In how many firings.</param>
/// <param name="Range">The 90 % interval of <see cref="RateInterval"/>; null from one firing.</param>
public sealed record SeenRate(int Seen, int Pieces, int Firings, RateRange? Range)
{
    /// <summary>The rate that these firings speak of.</summary>
    public static SeenRate Of(IReadOnlyCollection<FiringCount> firings) =>
        new(firings.Sum(f => f.Seen), firings.Sum(f => f.Pieces), firings.Count, RateInterval.Of(firings));

    /// <summary>How often this holds.</summary>
    public static SeenRate Of(IEnumerable<SeenCopies> seen, Func<SeenCopies, bool> holds) => Of(FiringByFiring(seen, holds));

    /// <summary>How often each defect that was seen came.</summary>
    public static IReadOnlyDictionary<Defect, SeenRate> OfDefects(IReadOnlyCollection<SeenCopies> seen) =>
        seen.SelectMany(s => s.Defects).Distinct().Order().ToDictionary(d => d, d => Of(seen, s => s.Defects.Contains(d)));

    /// <summary>What each firing says of it, in the order in which they come.</summary>
    public static IReadOnlyList<FiringCount> FiringByFiring(IEnumerable<SeenCopies> seen, Func<SeenCopies, bool> holds) => [.. CountsOf(seen, holds).Values];

    /// <summary>Firing by firing, of how many pieces this holds.</summary>
    internal static Dictionary<Common.Id<Firings.Firing>, FiringCount> CountsOf(IEnumerable<SeenCopies> seen, Func<SeenCopies, bool> holds)
    {
        var counts = new Dictionary<Common.Id<Firings.Firing>, FiringCount>();
        foreach (var one in seen)
        {
            var (pieces, such, _) = counts.GetValueOrDefault(one.FiringId);
            counts[one.FiringId] = new FiringCount(pieces + one.Copies, such + (holds(one) ? one.Copies : 0));
        }

        return counts;
    }

    /// <summary>The same in a sentence or two; of one firing it gives the counts and never a rate.</summary>
    /// <param name="how">What they did: "came out sound", "crazed".</param>
    public string InWords(string how) => Range is { } range
        ? $"{Seen} of {Pieces} {how}, in {Firings} firings. The rate behind that probably lies {Words(range)}."
        : $"{Seen} of {Pieces} {how}, in one firing: it may have been an odd one.";

    /// <summary>A range in whole percent, never narrower than it is.</summary>
    internal static string Words(RateRange range) => string.Create(
        CultureInfo.InvariantCulture, $"between {Math.Floor(100 * range.Low):0} % and {Math.Ceiling(100 * range.High):0} %");
}
