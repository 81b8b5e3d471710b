using KilnShare.Core.Common;
using KilnShare.Core.Loading.Finishing;
using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Search;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Series;

/// <summary>One load of a series.</summary>
/// <param name="Counts">How many copies of each piece are in it.</param>
/// <param name="Plan">Where they stand; copies are numbered from 0 in each load.</param>
/// <param name="Demand">What they ask of a load.</param>
internal sealed record SeriesLoad(int[] Counts, LoadPlan Plan, double Demand);

/// <summary>
/// Fills load after load, the hardest to place first; then takes the least filled load apart and brings its ware into the others
/// (ruin and recreate, Schrimpf and others 2000, over whole loads).
/// </summary>
internal sealed class SeriesSearch
{





    private readonly LoadProblem problem;
    private readonly LoadOptions options;
    private readonly WorkBudget whole;
    private readonly WorkBudget budget;
    private readonly SeededRandom random;
    private readonly double[] demand;
    private readonly UnplacedReason?[] reasons;
    private readonly int least;
    private long iterations;

    public SeriesSearch(LoadProblem problem, LoadOptions options, WorkBudget budget)
    {
        (this.problem, this.options, whole) = (problem, options, budget);
        this.budget = options.Spread ? budget.Within(1 - FinishingTuning.PartForSharing) : budget;
        random = new SeededRandom(options.Seed);
        var instance = new LoadInstance(problem, options);
        var pool = new ItemPool(problem);
        reasons = Feasibility.Of(instance, pool.All);
        demand = SeriesDemand.Of(instance, options, pool);
        least = SeriesBound.Of(instance, pool, reasons);
    }

    /// <summary>The fewest loads found.</summary>
    public LoadSeriesPlan Solve()
    {
        int[] all = [.. problem.Pieces.Select((p, i) => reasons[i] is null ? p.Quantity : 0)];
        var (best, left) = Filled(all, SeriesTuning.FirstIterations);
        if (best.Count > least && MayGoOn(SeriesTuning.CarefulIterations * best.Count))
        {
            var (careful, leftThen) = Filled(all, SeriesTuning.CarefulIterations);
            if (leftThen.Sum() <= left.Sum() && careful.Count <= best.Count) (best, left) = (careful, leftThen);
        }

        while (best.Count > Math.Max(1, least) && WithOneLess(best) is { } fewer) best = fewer;
        var stopped = budget.Cancelled ? StopReason.Cancelled : best.Count <= least && left.Sum() == 0 ? StopReason.Proven : StopReason.SearchEnded;
        if (options.Spread && !budget.Cancelled) best = SharedOut(best);
        return SeriesWriting.Write(problem, best, left, reasons) with { LeastLoads = least, Stopped = stopped, Iterations = iterations };
    }

    private List<SeriesLoad> SharedOut(List<SeriesLoad> loads)
    {
        var each = whole.Iterations is { } most ? whole.AtMost(most / Math.Max(1, loads.Count)) : whole;
        return loads.ConvertAll(l => l with { Plan = SharingOut.Of(problem, l.Plan, options, each) });
    }

    // Fills load after load until nothing is left, or nothing more finds a place, as when the time is over.
    private (List<SeriesLoad> Loads, int[] Left) Filled(int[] counts, long each)
    {
        var (loads, left) = (new List<SeriesLoad>(), counts);
        while (left.Sum() > 0)
        {
            var load = Load(Offered(left), each);
            if (load.Counts.Sum() == 0) break;
            loads.Add(load);
            left = Less(left, load.Counts);
        }

        return (loads, left);
    }

    // Where there is very much ware, only a part of it is offered: half of that the hardest to place, the rest spread over all that is left.
    private int[] Offered(int[] left)
    {
        var all = left.Zip(demand, (c, d) => c * d).Sum();
        if (all <= SeriesTuning.MostOffered) return left;
        var offered = new int[left.Length];
        var (hardest, spread, passed) = (0.0, 0.0, 0.0);
        foreach (var i in Enumerable.Range(0, left.Length).OrderByDescending(i => demand[i]))
        {
            for (var copy = 0; copy < left[i]; copy++)
            {
                var isHardest = hardest < SeriesTuning.MostOffered / 2;
                if (isHardest) hardest += demand[i];
                else passed += demand[i];
                if (!isHardest && spread > SeriesTuning.MostOffered / 2 * passed / (all - hardest)) continue;
                if (!isHardest) spread += demand[i];
                offered[i]++;
            }
        }

        return offered;
    }

    // The same ware in one load less; null where the budget is spent before that is found.
    private List<SeriesLoad>? WithOneLess(List<SeriesLoad> from)
    {
        var loads = from.OrderBy(l => l.Demand).ToList();
        var left = loads[0].Counts;
        loads.RemoveAt(0);
        while (left.Sum() > 0)
        {
            if (!MayGoOn(Math.Max(SeriesTuning.MoreIterations, 2 * SeriesTuning.AnewIterations))) return null;
            left = loads.Count > 1 && random.Below(10) < SeriesTuning.PairsInTen ? PairAnew(loads, left) : More(loads, left);
        }

        return loads;
    }

    // Lets one load take what it can of what is left, perhaps in exchange for less; returns what is left then.
    private int[] More(List<SeriesLoad> loads, int[] left)
    {
        var i = random.Below(loads.Count);
        var offered = Plus(loads[i].Counts, left);
        var load = Load(offered, SeriesTuning.MoreIterations, loads[i].Plan);
        if (load.Demand < loads[i].Demand) return left;
        loads[i] = load;
        return Less(offered, load.Counts);
    }

    // The same with two loads that are filled anew, one after the other.
    private int[] PairAnew(List<SeriesLoad> loads, int[] left)
    {
        var i = random.Below(loads.Count);
        var j = (i + 1 + random.Below(loads.Count - 1)) % loads.Count;
        var offered = Plus(Plus(loads[i].Counts, loads[j].Counts), left);
        var first = Load(offered, SeriesTuning.AnewIterations);
        var rest = Less(offered, first.Counts);
        var second = Load(rest, SeriesTuning.AnewIterations);
        if (first.Demand + second.Demand < loads[i].Demand + loads[j].Demand) return left;
        (loads[i], loads[j]) = (first, second);
        return Less(rest, second.Counts);
    }

    private SeriesLoad Load(int[] offered, long each, LoadPlan? start = null)
    {
        List<int> kinds = [.. Enumerable.Range(0, offered.Length).Where(i => offered[i] > 0)];
        var pieces = kinds.ConvertAll(i => problem.Pieces[i] with { Quantity = offered[i], Priority = ValueOf(demand[i]) });
        var one = LoadProblem.Create(problem.Chamber, problem.Furniture, problem.Spacing, pieces, problem.KeepOuts, start, heatZones: problem.HeatZones).Value;
        var plan = LoadSearch.Solve(one, options with { Seed = random.Next(), MostSearches = 1, Spread = false }, budget.AtMost(each));
        iterations += plan.Iterations;
        int[] counts = [.. offered];
        var places = kinds.ToDictionary(i => problem.Pieces[i].Id, StringComparer.Ordinal);
        foreach (var unplaced in plan.Unplaced) counts[places[unplaced.PieceId]] -= unplaced.Copies.Count;
        return new SeriesLoad(counts, SeriesWriting.Numbered(plan, _ => 0), counts.Zip(demand, (c, d) => c * d).Sum());
    }

    private static decimal ValueOf(double demand) =>
        Math.Clamp(decimal.Round(SeriesTuning.ValueOfAll * (decimal)demand, LoadLimits.PriorityDecimals), 1m / Item.ValueUnits, LoadLimits.MaxPriority);

    // A search is made whole or not at all, so that a greater budget begins with the same searches.
    private bool MayGoOn(long more) => !budget.Over && (budget.Iterations is not { } most || iterations + more <= most);

    private static int[] Plus(int[] a, int[] b) => [.. a.Zip(b, (x, y) => x + y)];

    private static int[] Less(int[] a, int[] b) => [.. a.Zip(b, (x, y) => x - y)];
}
