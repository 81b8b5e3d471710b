using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using static KilnShare.Benchmarks.Loading.Kiln;

namespace KilnShare.Benchmarks.Loading;

/// <summary>Plans that change: a full search where nothing fits into the plan as it stands.</summary>
internal static class LivingMeasures
{
    /// <summary>How many copies of a plan are moved when one to four pieces are added that do not fit without moving anything; 400 iterations.</summary>
    public static string Replan()
    {
        var cases = 200 / Every;
        var (replans, all, moved, elsewhere, lost, broken) = (0, 0, 0, 0, 0, 0);
        var (gained, waiting) = (0m, 0m);
        for (var seed = 0; seed < cases; seed++)
        {
            var (kiln, more) = Case(seed);
            var start = LoadSearch.Solve(kiln, new LoadOptions(), WorkBudget.OfIterations(60, CancellationToken.None));
            if (start.Unplaced.Count > 0) continue;
            LoadPlan Solved(Keep keep, long iterations) =>
                LoadSearch.Solve(With(kiln, more, start, keep), new LoadOptions(), WorkBudget.OfIterations(iterations, CancellationToken.None));
            if (!Solved(Keep.All, 200).Unplaced.Any(u => u.PieceId.StartsWith("new", StringComparison.Ordinal))) continue;
            var plan = Solved(Keep.None, 400);
            replans++;
            if (LoadChecks.Violations(With(kiln, more, start, Keep.None), plan) is { Count: > 0 } violations)
            {
                broken++;
                Console.WriteLine($"seed {seed}: {violations[0]}");
            }

            if (plan.PlacedWeight < start.PlacedWeight) lost++;
            var (before, after) = (PlacesOf(start), PlacesOf(plan));
            all += before.Count;
            moved += before.Count(b => !after.TryGetValue(b.Key, out var place) || place != b.Value);
            elsewhere += before.Count(b => !after.TryGetValue(b.Key, out var place) || place.Level != b.Value.Level);
            gained += plan.PlacedWeight - start.PlacedWeight;
            waiting += more.Count + start.Unplaced.Sum(u => u.Copies.Count);
        }

        return $"{replans} replans of {cases} cases: {moved} of {all} placed copies moved ({(double)moved / all:P1}), {elsewhere} to another level or out "
            + $"({(double)elsewhere / all:P1}); " +
            $"{gained} of {waiting} waiting copies won a place; weight fell in {lost}; {broken} with a violation";
    }

    /// <summary>A fifth of the ware asks for a hot place, a fifth for a cool one; the lowest third is cool, the highest hot; 60 iterations.</summary>
    public static string Wishes()
    {
        var cases = 100 / Every;
        var (asked, unmet, broken) = (0, 0, 0);
        var weight = 0m;
        for (var seed = 0; seed < cases; seed++)
        {
            var problem = Wishing(seed);
            var plan = LoadSearch.Solve(problem, new LoadOptions(), WorkBudget.OfIterations(60, CancellationToken.None));
            if (LoadChecks.Violations(problem, plan).Count > 0) broken++;
            weight += plan.PlacedWeight;
            foreach (var (shelf, placement) in plan.Shelves.SelectMany(s => s.Placements.Select(p => (s, p))))
            {
                var piece = problem.Pieces.First(p => string.Equals(p.Id, placement.PieceId, StringComparison.Ordinal));
                if (piece.Wish is null) continue;
                asked += placement.Copies.Count;
                if (problem.IsUnmet(piece, shelf.Top)) unmet += placement.Copies.Count;
            }
        }

        return $"{cases} loads: of {asked} placed copies that ask for a hot or cool place {asked - unmet} have it ({1 - ((double)unmet / asked):P1}); weight "
            + $"{weight}, {broken} with a violation";
    }

    /// <summary>A load of which two fifths ask for a place, lowest third cool, highest hot.</summary>
    public static LoadProblem Wishing(int seed)
    {
        var (kiln, more) = Case(seed);
        List<LoadPiece> pieces = [.. kiln.Pieces.Concat(more).Select((p, i) => p with { Wish = (i % 5) switch { 0 => Heat.Hot, 1 => Heat.Cool, _ => null } })];
        return LoadProblem.Create(
            kiln.Chamber, kiln.Furniture, kiln.Spacing, pieces,
                heatZones: [new HeatZone(Length.Zero, Mm(207), Heat.Cool), new HeatZone(Mm(413), Mm(620), Heat.Hot)]).Value;
    }

    /// <summary>A round kiln about as full as studios fill it.</summary>
    public static LoadProblem Filled(int seed) => Case(seed).Kiln;

    private static LoadProblem With(LoadProblem kiln, IEnumerable<LoadPiece> more, LoadPlan start, Keep keep) =>
        LoadProblem.Create(kiln.Chamber, kiln.Furniture, kiln.Spacing, [.. kiln.Pieces, .. more], kiln.KeepOuts, start, keep).Value;

    private static Dictionary<(string, int), (int Level, long X, long Y, int Turn)> PlacesOf(LoadPlan plan)
    {
        var levels = plan.Shelves.Select(s => s.Top).Distinct().Order().ToList();
        return plan.Shelves.SelectMany(s => s.Placements.SelectMany(p => p.Copies.Select(c => (
            Key: (p.PieceId, c), Place: (levels.IndexOf(s.Top), p.X.Micrometres, p.Y.Micrometres, p.RotationThousandths)))))
                .ToDictionary(x => x.Key, x => x.Place);
    }

    // A round kiln about as full as studios fill it: mugs, plates and vases, some alike.
    private static (LoadProblem Kiln, List<LoadPiece> More) Case(int seed)
    {
        var random = new Random(seed);
        LoadPiece Ware(string id, int most) => random.Next(4) == 0
            ? Piece(id, Rectangle(60 + random.Next(100), 60 + random.Next(100)), 40 + random.Next(120), 1)
            : Piece(id, Circle(70 + random.Next(110)), 60 + random.Next(120), 1 + random.Next(most));
        var furniture = new Furniture(
            [new ShelfStock("full", Circle(520), Mm(19), 5)], PostHeights.Stock, [.. Enumerable.Range(1, 8).Select(i => new PostStock(Mm(25 * i), 12))], Mm(38),
                Mm(23));
        var pieces = Enumerable.Range(0, 13 + random.Next(8)).Select(i => Ware($"{i}", 3)).ToList();
        var kiln = LoadProblem.Create(new Chamber(Circle(585), Mm(620), Mm(25), Mm(12)), furniture, new KilnSpacing(Mm(6), Mm(12), Mm(3)), pieces).Value;
        return (kiln, [.. Enumerable.Range(0, 1 + random.Next(4)).Select(i => Ware($"new{i}", 1))]);
    }
}
