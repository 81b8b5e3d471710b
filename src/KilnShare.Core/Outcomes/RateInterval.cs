namespace KilnShare.Core.Outcomes;

/// <summary>What one firing says of an outcome.</summary>
/// <param name="Pieces">How many pieces of the firing were looked at.</param>
/// <param name="Seen">How many of them came out so.</param>
/// <param name="Weight">How much the firing counts: 1, or less where it is borrowed from ware that is not quite alike.</param>
public readonly record struct FiringCount(int Pieces, int Seen, double Weight = 1);

/// <summary>Between which rates an outcome probably lies, as parts of 1.</summary>
/// <param name="Low">Probably no less.</param>
/// <param name="High">Probably no more.</param>
public readonly record struct RateRange(double Low, double High);

/// <summary>A 90 % interval for the rate of an outcome, where the pieces of one firing share its luck: firings are the repeats, not pieces.</summary>
/// <remarks>
/// Source: Wilson's score interval (Wilson, Journal of the American Statistical Association 22, 1927, 209; recommended for few tries by Brown, Cai and
/// DasGupta, Statistical Science 16, 2001, 101) at the effective number of pieces, as Korn and Graubard (Survey Methodology 24, 1998, 193) have it for
/// clusters: n pieces of one firing are worth n / (1 + (n − 1)·correlation) independent ones (Kish's design effect). The correlation between the pieces
/// of one firing is the ANOVA estimate (Donner and Fleiss), drawn toward a prior. For the firings' spread being estimated, k firings are worth k − 1.
/// Papers from memory. The prior and what it is worth are our choice, by simulation. Valid for: two firings or more. Accuracy: over rates of 0.05 to
/// 0.95, correlations of 0 to 0.6 and 2 to 30 firings of 1 to 12 pieces 95 % of intervals hold the rate on average, and 85 % at the worst; their mean
/// widths are 0.68 from two firings, 0.54 from three, 0.41 from five, 0.28 from ten and 0.15 from thirty.
/// </remarks>
public static class RateInterval
{
    /// <summary>Fewer firings give no interval: one may have been an odd one (common practice, no source).</summary>
    public const int LeastFirings = 2;

    /// <summary>What is believed of the correlation between the pieces of one firing before anything is seen: our choice.</summary>
    internal const double PriorCorrelation = 0.4;

    // So many firings that belief is worth: our choice.
    private const double PriorFirings = 4;

    // Standard normal quantile at 0.95: 5 % on either side.
    private const double Quantile = 1.6448536269514722;

    /// <summary>The interval; null with fewer than two firings.</summary>
    public static RateRange? Of(IReadOnlyCollection<FiringCount> firings)
    {
        if (firings.Count < LeastFirings) return null;
        var correlation = Correlation(firings);
        double size = 0, seen = 0;
        foreach (var firing in firings)
        {
            var worth = firing.Weight * Worth(firing.Pieces, correlation);
            size += worth;
            seen += worth * firing.Seen / firing.Pieces;
        }

        return Wilson(seen / size, size * (firings.Count - 1) / firings.Count);
    }

    /// <summary>Wilson's score interval for a rate seen in so many independent tries, which need not be a whole number.</summary>
    /// <param name="rate">The rate seen.</param>
    /// <param name="tries">In so many tries, above 0.</param>
    /// <param name="quantile">Of the standard normal distribution, for one side.</param>
    public static RateRange Wilson(double rate, double tries, double quantile = Quantile)
    {
        var square = quantile * quantile;
        var middle = (rate + square / (2 * tries)) / (1 + square / tries);
        var half = quantile / (1 + square / tries) * Math.Sqrt(rate * (1 - rate) / tries + square / (4 * tries * tries));
        return new RateRange(Math.Max(0, middle - half), Math.Min(1, middle + half));
    }

    /// <summary>How many independent pieces so many of one firing are worth.</summary>
    internal static double Worth(int pieces, double correlation) => pieces / (1 + (pieces - 1) * correlation);

    /// <summary>
    /// The correlation between pieces of one firing: from the squares within and between firings, and what was believed before. Where nearly all came out
    /// alike, that says little of it, and counts for less.
    /// </summary>
    private static double Correlation(IReadOnlyCollection<FiringCount> firings)
    {
        double pieces = 0, seen = 0, squares = 0;
        foreach (var firing in firings)
        {
            pieces += firing.Pieces;
            seen += firing.Seen;
            squares += (double)firing.Pieces * firing.Pieces;
        }

        double rate = seen / pieces, between = 0, within = 0;
        foreach (var firing in firings)
        {
            var own = (double)firing.Seen / firing.Pieces;
            between += firing.Pieces * (own - rate) * (own - rate);
            within += firing.Pieces * own * (1 - own);
        }

        var more = firings.Count - 1.0;
        if (pieces <= firings.Count || between + within <= 0) return PriorCorrelation;
        var (meanBetween, meanWithin, each) = (between / more, within / (pieces - firings.Count), (pieces - squares / pieces) / more);
        var found = Math.Clamp((meanBetween - meanWithin) / (meanBetween + (each - 1) * meanWithin), 0, 1);
        var told = 4 * rate * (1 - rate) * more;
        return (PriorFirings * PriorCorrelation + told * found) / (PriorFirings + told);
    }
}
