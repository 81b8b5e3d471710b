using System.Globalization;
using KilnShare.Core.Outcomes;

namespace KilnShare.Core.Tests.Outcomes;

/// <summary>Which test pieces teach most, and where they stand.</summary>
public sealed class NextTestsTests(ITestOutputHelper output)
{
    private const int Candidates = 6;

    [Fact]
    public void With_two_thirds_of_the_pieces_it_is_as_often_right_as_one_candidate_a_firing()
    {
        const int Truths = 2000;
        var (planned, oneByOne, even) = (0, 0, 0);
        for (var seed = 1; seed <= Truths; seed++)
        {
            var truth = Truth(seed);
            if (Planned(truth, new Random(seed), 4, 6) == Best(truth)) planned++;
            if (Even(truth, new Random(seed), 4) == Best(truth)) even++;
            if (OneByOne(truth, new Random(seed), 6) == Best(truth)) oneByOne++;
        }

        output.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"right of {Truths}: planned with 24 pieces {planned}, one of each a firing with 24 {even}, one candidate a firing with 36 {oneByOne}"));
        Assert.True(planned >= oneByOne, $"{planned} of {Truths} were right, and {oneByOne} one by one.");
    }

    [Fact]
    public void Of_what_nothing_is_known_of_each_gets_its_even_part_and_what_is_far_behind_gets_least()
    {
        Assert.All(Plan(12, [], [], []).Choices, c => Assert.Equal(4, c.Pieces));
        FiringCount[] good = [new(6, 6), new(6, 5)], close = [new(6, 5), new(6, 5)], bad = [new(6, 0), new(6, 1)];
        var plan = Plan(12, good, close, bad, []);
        Assert.True(plan.Choices[3].Pieces > plan.Choices[0].Pieces);
        Assert.True(plan.Choices[1].Pieces > plan.Choices[2].Pieces);
        Assert.Equal(12, plan.Choices.Sum(c => c.Pieces));
        Assert.StartsWith("1 coat of glaze 0 is the best so far with 11 of 12 in 2 firings", plan.Choices[0].Reason, StringComparison.Ordinal);
        Assert.Equal("Nothing is known of 1 coat of glaze 3 on this clay yet.", plan.Choices[3].Reason);
        // Where a defect is not to come, the one that showed it least is the best.
        var defect = NextTests.Of(new NextTestProblem(ProblemOf(12, good, close, bad).Candidates, 12, 2, 3, 1) { IsWanted = false });
        Assert.StartsWith("1 coat of glaze 2 is the best so far", defect.Choices[2].Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void No_candidate_can_be_taken_for_its_place()
    {
        for (var seed = 1; seed <= 50; seed++)
        {
            var plan = NextTests.Of(ProblemOf(18, [], [], []) with { Firings = 3, Levels = 3, Seed = seed });
            Assert.Equal(18, plan.Places.Count);
            foreach (var candidate in plan.Places.GroupBy(p => p.Candidate))
            {
                Assert.Equal([2, 2, 2], candidate.GroupBy(p => p.Firing).Select(f => f.Count()));
                Assert.Equal([2, 2, 2], candidate.GroupBy(p => p.Level).Select(l => l.Count()));
            }

            Assert.All(plan.Places.GroupBy(p => (p.Firing, p.Level)), place => Assert.Equal(2, place.Count()));
        }
    }

    [Fact]
    public void The_same_seed_gives_the_same_places_and_another_another_order()
    {
        IReadOnlyList<TestPlace> Places(int seed) => NextTests.Of(ProblemOf(18, [], [], []) with { Firings = 3, Seed = seed }).Places;
        Assert.Equal(Places(4), Places(4));
        Assert.NotEqual(Places(4), Places(5));
    }

    private static NextTests Plan(int pieces, params FiringCount[][] known) => NextTests.Of(ProblemOf(pieces, known));

    private static NextTestProblem ProblemOf(int pieces, params FiringCount[][] known) =>
        new([.. known.Select((k, i) => new TestCandidate($"glaze {i}", 1, k))], pieces, 2, 3, 1);

    /// <summary>Rates of sound ware in an ordinary firing, as log odds.</summary>
    private static double[] Truth(int seed)
    {
        var random = new Random(10_000 + seed);
        return [.. Enumerable.Range(0, Candidates).Select(_ => 3 * random.NextDouble() - 1)];
    }

    private static int Best(double[] truth) => Array.IndexOf(truth, truth.Max());

    /// <summary>A firing is better or worse for all that is in it.</summary>
    private static double Luck(Random random) => 2 * (random.NextDouble() + random.NextDouble() + random.NextDouble() - 1.5);

    private static int Fire(Random random, double odds, int pieces) => Enumerable.Range(0, pieces).Count(_ => random.NextDouble() < 1 / (1 + Math.Exp(-odds)));

    private static int Planned(double[] truth, Random random, int firings, int pieces)
    {
        var known = truth.Select(_ => new List<FiringCount>()).ToArray();
        for (var firing = 0; firing < firings; firing++)
        {
            var plan = NextTests.Of(new NextTestProblem([.. known.Select((k, i) => new TestCandidate($"glaze {i}", 1, [.. k]))], pieces, 1, 3, 1));
            var luck = Luck(random);
            for (var i = 0; i < Candidates; i++)
                if (plan.Choices[i].Pieces is > 0 and var count) known[i].Add(new FiringCount(count, Fire(random, truth[i] + luck, count)));
        }

        return Likeliest(known);
    }

    private static int Even(double[] truth, Random random, int firings)
    {
        var known = truth.Select(_ => new List<FiringCount>()).ToArray();
        for (var firing = 0; firing < firings; firing++)
        {
            var luck = Luck(random);
            for (var i = 0; i < Candidates; i++) known[i].Add(new FiringCount(1, Fire(random, truth[i] + luck, 1)));
        }

        return Likeliest(known);
    }

    private static int OneByOne(double[] truth, Random random, int pieces) =>
        Likeliest([.. truth.Select(odds => new List<FiringCount> { new(pieces, Fire(random, odds + Luck(random), pieces)) })]);

    private static int Likeliest(List<FiringCount>[] known)
    {
        var plan = NextTests.Of(new NextTestProblem([.. known.Select((k, i) => new TestCandidate($"glaze {i}", 1, [.. k]))], 0, 1, 1, 1));
        return plan.Choices.Select((c, i) => (c.Rate, i)).MaxBy(c => c.Rate).i;
    }
}
