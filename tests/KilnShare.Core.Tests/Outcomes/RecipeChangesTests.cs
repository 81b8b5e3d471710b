using System.Globalization;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Outcomes;
using static KilnShare.Core.Tests.Outcomes.SeenSamples;

namespace KilnShare.Core.Tests.Outcomes;

/// <summary>That a recipe comes out otherwise since something changed is found, and luck alone is not taken for it.</summary>
public sealed class RecipeChangesTests(ITestOutputHelper output)
{
    private const int Studios = 200;

    [Fact]
    public void A_planted_change_is_found_and_luck_alone_raises_an_alarm_in_one_studio_of_twenty_at_most()
    {
        var (alarms, found) = (0, 0);
        for (var seed = 1; seed <= Studios; seed++)
        {
            if (RecipeChanges.Of(Studio(seed, 0.85), [Day(13)], seed).Changes.Count > 0) alarms++;
            if (RecipeChanges.Of(Studio(seed, 0.15), [Day(13)], seed).Changes.Any(c => c.Recipe.Glaze == "glaze 0")) found++;
        }

        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{alarms} false alarms and {found} planted changes found in {Studios} studios each"));
        // 5 % of 200 and three standard deviations of such a count.
        Assert.True(alarms <= 10 + 9, $"{alarms} false alarms.");
        Assert.True(found >= 0.8 * Studios, $"{found} found.");
    }

    [Fact]
    public void The_same_seed_gives_the_same_answer_and_says_what_it_rests_on()
    {
        var change = RecipeChanges.Of(Studio(3, 0.05), [Day(13)], 7).Changes.First(c => c.Recipe.Glaze == "glaze 0" && c.Defect is null);
        Assert.Equal(change.ByLuck, RecipeChanges.Of(Studio(3, 0.05), [Day(13)], 7).Changes.First(c => c.Recipe.Glaze == "glaze 0" && c.Defect is null).ByLuck);
        Assert.True(change.Before.Seen * change.After.Pieces > change.After.Seen * change.Before.Pieces);
        Assert.Contains("since 2026-01-14, ", change.InWords(), StringComparison.Ordinal);
        Assert.Contains(
            $"{change.After.Seen} of {change.After.Pieces} came out sound, in {change.After.Firings} firings; before, {change.Before.Seen} of "
                + $"{change.Before.Pieces}, in {change.Before.Firings} firings.", change.InWords(), StringComparison.Ordinal);
    }

    [Fact]
    public void Few_firings_are_said_to_be_too_few()
    {
        var found = RecipeChanges.Of([Seen(1), Seen(2), Seen(14) with { Grade = OutcomeGrade.Lost }], [Day(13)], 1);
        Assert.Equal((0, 0), (found.Changes.Count, found.Questions));
        Assert.StartsWith("No change has two firings", found.InWords(), StringComparison.Ordinal);
    }

    // Closed form: of ten firings five went wrong, all after the change: of 252 orders two set them so far apart.
    [Fact]
    public void All_orders_of_few_firings_are_tried()
    {
        FiringCount[] counts = [.. Enumerable.Range(0, 10).Select(i => new FiringCount(4, i < 5 ? 4 : 0))];
        Assert.Equal(2 / 252.0, Assert.Single(FiringPermutation.ByLuck([counts], [.. Enumerable.Range(0, 10).Select(i => i >= 5)], 1)), 12);
    }

    [Fact]
    public void A_new_batch_is_a_change_for_its_glaze_only()
    {
        SeenCopies[] seen = [Seen(1, Batch("a")), Seen(2, Batch("a")), Seen(3, Batch("b")), Seen(4, Coat(2)), Seen(5, Batch("a"))];
        var point = Assert.Single(ChangePoint.NewBatches(seen));
        Assert.Equal(("b", seen[2].On), (point.Batch, point.On));
        Assert.Equal([false, false, true, null, null], seen.Select(point.IsAfter));
    }

    private static Layer Batch(string batch) => Coat(2) with { Batch = batch };

    private static ChangePoint Day(int firing) => new(ChangeKind.Day, Seen(firing).StartedAt, Seen(firing).On);

    /// <summary>
    /// Eight recipes in twenty-four firings that share their luck; the first recipe comes out sound at another rate from the thirteenth firing on.
    /// </summary>
    private static IReadOnlyList<SeenCopies> Studio(int seed, double later)
    {
        const double Correlation = 0.3;
        var (random, seen) = (new Random(seed), new List<SeenCopies>());
        for (var firing = 1; firing <= 24; firing++)
        {
            for (var recipe = 0; recipe < 8; recipe++)
            {
                var rate = recipe == 0 && firing >= 13 ? later : recipe == 0 ? 0.85 : 0.5 + 0.06 * recipe;
                var (pieces, sound) = (random.Next(0, 7), 0);
                for (var i = 0; i < pieces; i++)
                    if (random.NextDouble() < (rate * (1 - Correlation) + Correlation * sound) / (1 - Correlation + Correlation * i)) sound++;
                var one = Seen(firing, Coat(2, $"glaze {recipe}"));
                if (sound > 0) seen.Add(one with { Copies = sound });
                if (pieces > sound) seen.Add(one with { Copies = pieces - sound, Grade = OutcomeGrade.Poor, Defects = [Defect.Running] });
            }
        }

        return seen;
    }
}
