namespace KilnShare.Core.Loading;

/// <summary>Whether a series keeps every rule: each load as a plan of the ware in it, each copy once, and no more loads than is said to be proven.</summary>
internal static class LoadSeriesChecks
{
    /// <summary>Every broken rule in words; empty when the series is sound.</summary>
    public static IReadOnlyList<string> Violations(LoadProblem problem, LoadSeriesPlan series)
    {
        var found = new List<string>();
        var copies = new HashSet<(string Id, int Copy)>();
        for (var i = 0; i < series.Loads.Count; i++)
        {
            foreach (var (id, copy) in CopiesIn(series.Loads[i]))
            {
                if (!copies.Add((id, copy))) found.Add($"Copy {copy} of {id} is in load {i} once more.");
            }

            found.AddRange(OfLoad(problem, series.Loads[i]).Select(v => $"Load {i}: {v}"));
        }

        foreach (var unplaced in series.Unplaced)
        {
            found.AddRange(
                unplaced.Copies.Where(c => !copies.Add((unplaced.PieceId, c))).Select(c => $"Copy {c} of {unplaced.PieceId} is named as unplaced and is not."));
        }

        var all = problem.Pieces.SelectMany(p => Enumerable.Range(0, p.Quantity).Select(c => (p.Id, Copy: c))).ToHashSet();
        found.AddRange(all.Except(copies).Select(c => $"Copy {c.Copy} of {c.Id} is in no load and not named."));
        found.AddRange(copies.Except(all).Select(c => $"There is no copy {c.Copy} of {c.Id}."));
        if (series.Loads.Count < series.LeastLoads && series.Unplaced.Count == 0) found.Add(
            $"{series.Loads.Count} loads hold what is said to ask for {series.LeastLoads}.");
        return found;
    }

    // As a plan of the ware in it, whose copies are numbered from 0.
    private static IReadOnlyList<string> OfLoad(LoadProblem problem, LoadPlan load)
    {
        var numbers = CopiesIn(load).GroupBy(c => c.Id, StringComparer.Ordinal)
            .ToDictionary(g => g.Key, g => g.Select(c => c.Copy).Order().ToList(), StringComparer.Ordinal);
        var pieces = problem.Pieces.Where(p => numbers.ContainsKey(p.Id)).Select(p => p with { Quantity = numbers[p.Id].Count }).ToList();
        var alone = LoadProblem.Create(problem.Chamber, problem.Furniture, problem.Spacing, pieces, problem.KeepOuts, heatZones: problem.HeatZones).Value;
        return LoadChecks.Violations(alone, load with
        {
            Shelves = [.. load.Shelves.Select(
                s => s with { Placements = [.. s.Placements.Select(p => p with { Copies = [.. p.Copies.Select(c => numbers[p.PieceId].IndexOf(c))] })] })],
        });
    }

    private static IEnumerable<(string Id, int Copy)> CopiesIn(LoadPlan load) =>
        load.Shelves.SelectMany(s => s.Placements).SelectMany(p => p.Copies.Select(c => (p.PieceId, c)));
}
