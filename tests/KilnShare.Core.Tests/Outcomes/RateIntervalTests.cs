using System.Globalization;
using KilnShare.Core.Outcomes;

namespace KilnShare.Core.Tests.Outcomes;

/// <summary>Intervals that know firings.</summary>
public sealed class RateIntervalTests(ITestOutputHelper output)
{
    private const double Quantile95 = 1.959963984540054;

    private static readonly bool IsSoak = Environment.GetEnvironmentVariable("KILNSHARE_SOAK") == "1";

    // Source: Newcombe, Statistics in Medicine 17 (1998) 857, table I, method 3, 95 % intervals; from memory.
    [Theory]
    [InlineData(81, 263, 0.2553, 0.3662)]
    [InlineData(15, 148, 0.0624, 0.1605)]
    [InlineData(0, 20, 0, 0.1611)]
    [InlineData(1, 29, 0.0061, 0.1718)]
    public void Of_independent_pieces_it_is_the_published_score_interval(int seen, int pieces, double low, double high)
    {
        var range = RateInterval.Wilson((double)seen / pieces, pieces, Quantile95);
        Assert.Equal(low, range.Low, 4);
        Assert.Equal(high, range.High, 4);
    }

    // Closed form: the ends are the rates that a score test at this level just lets pass (Wilson 1927).
    [Theory]
    [InlineData(0.3, 7.5)]
    [InlineData(0, 3)]
    [InlineData(0.95, 41)]
    public void Its_ends_are_where_the_score_test_turns(double rate, double tries)
    {
        const double Quantile = 1.6448536269514722;
        var range = RateInterval.Wilson(rate, tries);
        foreach (var end in new[] { range.Low, range.High }.Where(e => e is > 1e-9 and < 1 - 1e-9))
            Assert.Equal(Quantile, Math.Abs(rate - end) / Math.Sqrt(end * (1 - end) / tries), 9);
    }

    [Fact]
    public void One_firing_gives_no_interval_however_many_pieces_it_held()
    {
        Assert.Null(RateInterval.Of([new FiringCount(60, 55)]));
        var rate = SeenRate.Of([new FiringCount(60, 55)]);
        Assert.Equal("55 of 60 came out sound, in one firing: it may have been an odd one.", rate.InWords(OutcomeWords.Sound));
        Assert.DoesNotContain("%", rate.InWords(OutcomeWords.Sound), StringComparison.Ordinal);
    }

    [Fact]
    public void More_firings_narrow_it_and_more_pieces_of_the_same_two_hardly_do()
    {
        double Width(int firings, int pieces, int seen, double weight = 1) =>
            RateInterval.Of([.. Enumerable.Range(0, firings).Select(_ => new FiringCount(pieces, seen, weight))]) is { } range ? range.High - range.Low : 1;
        Assert.True(Width(6, 4, 3) < Width(2, 12, 9));
        Assert.True(Width(2, 40, 30) > Width(10, 4, 3));
        Assert.True(Width(4, 6, 4, 0.5) > Width(4, 6, 4));
        // Pieces of one firing that all came out the same way say that the firing decides.
        Assert.True(WidthOf((6, 6), (6, 0), (6, 6), (6, 0)) > WidthOf((6, 3), (6, 3), (6, 3), (6, 3)));
    }

    private static double WidthOf(params (int Pieces, int Seen)[] firings) =>
        RateInterval.Of([.. firings.Select(f => new FiringCount(f.Pieces, f.Seen))]) is { } range ? range.High - range.Low : 1;

    [Fact]
    public void Nine_times_in_ten_it_holds_the_rate_whatever_the_firings_share()
    {
        double[] rates = [0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95];
        double[] correlations = [0, 0.1, 0.3, 0.6];
        int[] firings = [2, 3, 5, 10, 30];
        int[] pieces = [1, 2, 3, 6, 12, 0]; // 0: 1 to 12 as it happens
        var tries = IsSoak ? 20_000 : 1_000;
        var cells = new List<(int Firings, double Correlation, double Coverage, double Width)>();
        var (worst, where) = (1.0, "");
        foreach (var correlation in correlations)
        {
            foreach (var count in firings)
            {
                foreach (var each in pieces)
                {
                    foreach (var rate in rates)
                    {
                        var (coverage, width) = Cover(rate, correlation, count, each, tries);
                        cells.Add((count, correlation, coverage, width));
                        if (coverage < worst) (worst, where) = (coverage, $"rate {rate}, correlation {correlation}, {count} firings of {each} pieces");
                    }
                }
            }
        }

        foreach (var group in cells.GroupBy(c => (c.Firings, c.Correlation)).OrderBy(g => g.Key))
        {
            output.WriteLine(string.Create(
                CultureInfo.InvariantCulture,
                    $"{group.Key.Firings,2} firings, correlation {group.Key.Correlation:0.0}: covered {group.Average(c => c.Coverage):0.000}, least "
                        + $"{group.Min(c => c.Coverage):0.000}, width {group.Average(c => c.Width):0.00}"));
        }

        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"mean {cells.Average(c => c.Coverage):0.000}, worst {worst:0.000}: {where}"));
        Assert.True(cells.Average(c => c.Coverage) >= 0.88, $"On average {cells.Average(c => c.Coverage):0.000} are covered.");
        Assert.True(worst >= 0.80, $"Only {worst:0.000} are covered at {where}.");
    }

    /// <summary>How often the interval holds the rate, and how wide it is, over firings drawn with a seed of their own.</summary>
    private static (double Coverage, double Width) Cover(double rate, double correlation, int firings, int pieces, int tries)
    {
        var random = new Random((int)(100_000 * rate) + (int)(1000 * correlation) + 17 * firings + pieces);
        var (held, width, drawn) = (0, 0.0, new FiringCount[firings]);
        for (var i = 0; i < tries; i++)
        {
            for (var f = 0; f < firings; f++) drawn[f] = Draw(random, rate, correlation, pieces == 0 ? random.Next(1, 13) : pieces);
            var range = RateInterval.Of(drawn)!.Value;
            if (range.Low <= rate && rate <= range.High) held++;
            width += range.High - range.Low;
        }

        return ((double)held / tries, width / tries);
    }

    /// <summary>A beta-binomial count: Pólya's urn gives pieces of one firing just this correlation.</summary>
    private static FiringCount Draw(Random random, double rate, double correlation, int pieces)
    {
        var seen = 0;
        for (var i = 0; i < pieces; i++)
            if (random.NextDouble() < (rate * (1 - correlation) + correlation * seen) / (1 - correlation + correlation * i)) seen++;
        return new FiringCount(pieces, seen);
    }
}
