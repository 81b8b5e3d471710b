using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Search;
using KilnShare.Core.Loading.Series;
using KilnShare.Core.Loading.Shelves;
using static KilnShare.Benchmarks.Loading.Kiln;

namespace KilnShare.Benchmarks.Loading;

/// <summary>More ware than one firing takes.</summary>
internal static class SeriesMeasures
{
    private const int Pieces = 500;
    private const int Seeds = 10;

    /// <summary>500 of the pieces of the kiln loads, drawn ten times, into the fewest firings, against levels in the order of height with first-fit
    /// decreasing.</summary>
    public static string Firings(Instances instances, double milliseconds)
    {
        var all = instances.KilnLoads().SelectMany((l, i) => Load(l.Root, false).Problem.Pieces.Select(p => p with { Id = $"{i}-{p.Id}" })).ToList();
        var kiln = Load(instances.KilnLoads()[0].Root, false).Problem;
        var (counts, fewer, slowest) = (new List<string>(), 0, 0.0);
        for (var seed = Skip; seed < Seeds; seed += Every)
        {
            // The first draw is the first 500 as they come.
            var random = new Random(seed);
            var pieces = (seed == 0 ? all : [.. all.OrderBy(_ => random.Next())]).Take(Pieces).ToList();
            var problem = LoadProblem.Create(kiln.Chamber, kiln.Furniture, kiln.Spacing, pieces).Value;
            var watch = Kiln.Clock.GetTimestamp();
            var series = LoadSeries.Solve(
                problem, new LoadOptions(), WorkBudget.OfTime(TimeSpan.FromMilliseconds(milliseconds), Kiln.Clock, CancellationToken.None));
            slowest = Math.Max(slowest, Kiln.Clock.GetElapsedTime(watch).TotalMilliseconds);
            if (LoadSeriesChecks.Violations(problem, series) is { Count: > 0 } broken) Console.WriteLine(broken[0]);
            var sorted = ByHeight(problem);
            if (series.Loads.Count < sorted) fewer++;
            counts.Add($"{series.Loads.Count}{(series.Unplaced.Count > 0 ? "!" : "")} for {sorted}");
        }

        return $"500 pieces into firings, {milliseconds / 1000:0} s, for those of levels sorted by height and first-fit decreasing: "
            + $"{string.Join(", ", counts)}; fewer in {fewer} of {counts.Count}; slowest {slowest:0} ms";
    }

    // Levels filled in the order of height, what does not fit squeezed in, in a kiln as high as can be; then each level into the first firing with room.
    private static int ByHeight(LoadProblem problem)
    {
        var tall = problem.Chamber with { Height = new Length(LoadLimits.MaxLengthMicrometres) };
        var shelves = problem.Furniture with { Shelves = [problem.Furniture.Shelves[0] with { Count = LoadLimits.MaxShelves }] };
        var (levels, waiting, options) = (new List<long>(), problem.Pieces, new LoadOptions());
        while (waiting.Count > 0)
        {
            var one = LoadProblem.Create(tall, shelves, problem.Spacing, waiting).Value;
            var (instance, pool) = (new LoadInstance(one, options), new ItemPool(one));
            var plan = new PartialPlan(instance.Layouts[0], [], pool);
            var budget = new SearchBudget(WorkBudget.OfIterations(long.MaxValue, CancellationToken.None));
            new LevelBuilder(new InstanceContext(instance, options, budget, new SeededRandom(1))).Build(plan, Preference.Height, 0, options.FirstRounds);
            // The uppermost goes up to the lid: it is filled anew in the next kiln.
            if (plan.Levels.Count > 1 && !pool.IsEmpty) LevelRebuild.TakeOut(plan, plan.Levels.Count - 1);
            levels.AddRange(plan.Levels.Select(l => l.Tallest));
            waiting = [.. waiting.Where((_, i) => pool.Waiting[i] > 0)];
        }

        var (thickness, headroom) = (problem.Furniture.Shelves[0].Thickness.Micrometres, problem.Spacing.Headroom.Micrometres);
        var firings = new List<long>();
        foreach (var height in levels.OrderDescending())
        {
            var at = firings.FindIndex(used => used + thickness + height + problem.Chamber.LidClearance.Micrometres <= problem.Chamber.Height.Micrometres);
            if (at < 0) (at, firings) = (firings.Count, [.. firings, 0]);
            firings[at] += thickness + height + headroom;
        }

        return firings.Count;
    }
}
