using KilnShare.Core.Common;
using KilnShare.Core.Loading;

namespace KilnShare.Api.Loading;

/// <summary>One load of a series.</summary>
public sealed record LoadOfSeriesContract
{
    /// <summary>Copies in it.</summary>
    /// <example>60</example>
    public required int Copies { get; init; }

    /// <summary>Sum of their priorities.</summary>
    public required decimal PlacedWeight { get; init; }

    /// <summary>Top of the highest ware over the floor.</summary>
    public required Length TopMm { get; init; }

    /// <summary>From the lowest up; copies are numbered over all loads.</summary>
    public required IReadOnlyList<PlacedShelfContract> Shelves { get; init; }

    /// <summary>From the lowest up.</summary>
    public required IReadOnlyList<PlacedPostContract> Posts { get; init; }

    /// <summary>What to take out, in what order to load, and what to look at twice.</summary>
    public required LoadAdviceContract Advice { get; init; }

    /// <summary>The contract of a load.</summary>
    public static LoadOfSeriesContract Of(LoadPlan load, LoadProblem problem)
    {
        var plan = LoadPlanContract.Of(load, problem, 0);
        return new LoadOfSeriesContract
        {
            Copies = plan.Shelves.SelectMany(s => s.Placements).Sum(p => p.Copies.Count),
            PlacedWeight = plan.PlacedWeight,
            TopMm = plan.TopMm,
            Shelves = plan.Shelves,
            Posts = plan.Posts,
            Advice = plan.Advice!,
        };
    }
}

/// <summary>Loads of one kiln, to be fired one after another.</summary>
public sealed record LoadSeriesContract
{
    /// <summary>The load with the most weight of priority first.</summary>
    public required IReadOnlyList<LoadOfSeriesContract> Loads { get; init; }

    /// <summary>What goes into no load, and why.</summary>
    public required IReadOnlyList<UnplacedContract> Unplaced { get; init; }

    /// <summary>No fewer loads take all that can be placed.</summary>
    /// <example>2</example>
    public required int LeastLoads { get; init; }

    /// <summary>Why the search stopped; proven where there are no more loads than that.</summary>
    public required StopReason Stopped { get; init; }

    /// <summary>How many iterations it did.</summary>
    public required long Iterations { get; init; }

    /// <summary>How long it took, ms.</summary>
    public required long ElapsedMs { get; init; }

    /// <summary>The contract of a series.</summary>
    public static LoadSeriesContract Of(LoadSeriesPlan series, LoadProblem problem, long elapsedMs) => new()
    {
        Loads = [.. series.Loads.Select(l => LoadOfSeriesContract.Of(l, problem))],
        Unplaced = [.. series.Unplaced.Select(UnplacedContract.Of)],
        LeastLoads = series.LeastLoads,
        Stopped = series.Stopped,
        Iterations = series.Iterations,
        ElapsedMs = elapsedMs,
    };
}
