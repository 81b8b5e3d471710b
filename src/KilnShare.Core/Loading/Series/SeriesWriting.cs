namespace KilnShare.Core.Loading.Series;

/// <summary>Turns loads into the series that is answered.</summary>
internal static class SeriesWriting
{
    /// <summary>The most valuable load first; copies are numbered over all loads.</summary>
    public static LoadSeriesPlan Write(LoadProblem problem, List<SeriesLoad> loads, int[] left, UnplacedReason?[] reasons)
    {
        var next = problem.Pieces.ToDictionary(p => p.Id, _ => 0, StringComparer.Ordinal);
        var written = new List<LoadPlan>();
        foreach (var load in loads.OrderByDescending(l => ValueOf(problem, l)))
        {
            var first = new Dictionary<string, int>(next, StringComparer.Ordinal);
            var value = ValueOf(problem, load);
            written.Add(Numbered(load.Plan, id => first[id]) with { Unplaced = [], PlacedWeight = value, WeightBound = value, Stopped = StopReason.Proven });
            for (var i = 0; i < load.Counts.Length; i++) next[problem.Pieces[i].Id] += load.Counts[i];
        }

        return new LoadSeriesPlan(written, Unplaced(problem, next, reasons), 0, StopReason.SearchEnded, 0);
    }

    /// <summary>The plan with the copies of each piece numbered without gaps from a first number on.</summary>
    public static LoadPlan Numbered(LoadPlan plan, Func<string, int> first)
    {
        var next = new Dictionary<string, int>(StringComparer.Ordinal);
        return plan with
        {
            Shelves = [.. plan.Shelves.Select(
                s => s with { Placements = [.. s.Placements.Select(p => p with { Copies = [.. p.Copies.Select(_ => Next(p.PieceId))] })] })],
        };

        int Next(string id)
        {
            var number = next.GetValueOrDefault(id, first(id));
            next[id] = number + 1;
            return number;
        }
    }

    private static decimal ValueOf(LoadProblem problem, SeriesLoad load) => load.Counts.Select((c, i) => c * problem.Pieces[i].Priority).Sum();

    private static List<UnplacedCopies> Unplaced(LoadProblem problem, Dictionary<string, int> placed, UnplacedReason?[] reasons) =>
        [.. problem.Pieces.Select(
            (p, i) => new UnplacedCopies(p.Id, [.. Enumerable.Range(placed[p.Id], p.Quantity - placed[p.Id])], reasons[i] ?? UnplacedReason.NoPlaceFound))
            .Where(u => u.Copies.Count > 0)];
}
