using KilnShare.Benchmarks.Loading;
using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Loading.Series;
using KilnShare.Core.Pieces;
using Instance = KilnShare.Benchmarks.Loading.Kiln;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

/// <summary>A search whose answer is recorded.</summary>
/// <param name="Name">Its line in the record.</param>
/// <param name="Solve">Searches, and writes all of the answer down.</param>
internal sealed record SeedProblem(string Name, Func<string> Solve);

/// <summary>216 invented problems of every kind, each searched with few iterations.</summary>
internal static class SeedProblems
{
    public static IEnumerable<SeedProblem> All =>
    [
        .. Of("any kiln", 12, n => Plan(RandomKilns.Any(6 + n), Few(n), n)),
        .. Of("half shelves", 9, n => Plan(RandomKilns.WithHalves(46 + n), Few(n), n)),
        .. Of("one shelf", 25, n => Plan(OneShelf(ShelfOf(n), MixedWare(6 + (n % 8), n), n % 5), 30, n)),
        .. Of("rectangles", 28, n => Plan(Rectangles(n), 130 + (40 * (n % 4)), n)),
        .. Of("discs", 14, n => Plan(Discs(n), 40, n)),
        .. Of("levels, searches side by side", 12, n => Plan(Levels(n, equal: false), 150, n)),
        .. Of("levels, one search", 12, n => Plan(Levels(n, equal: false), 1_900, n, searches: 1)),
        .. Of("levels, equal values", 8, n => Plan(Levels(n, equal: true), 150, n)),
        .. Of("scarce posts", 16, n => Plan(ScarcePosts(n), 1 + (5 * n), n)),
        .. Of("start plan as a hint", 10, n => Plan(From(n, Keep.None), 40, n)),
        .. Of("start plan with pins", 10, n => Plan(From(n, Keep.Pinned), 40, n)),
        .. Of("start plan kept", 10, n => Plan(From(n, Keep.All), 20, n)),
        .. Of("wishes and groups", 12, n => Plan(Wishes(n), 30, n)),
        .. Of("all placed, lowered", 9, n => Plan(Low(n), 60, n)),
        .. Of("series of loads", 8, n => PlanText.Of(LoadSeries.Solve(Series(n), Options(n), Budget(200 + (300 * (n % 2)))))),
        .. Of("room to be made", 5, RoomFor),
        .. Of("shared out", 12, n =>
            Spread(n % 3 == 0 ? RandomKilns.WithHalves(90 + n) : n % 3 == 1 ? RandomKilns.Any(90 + n) : RoundKiln(MixedWare(6, n)), 20, n)),
        .. Of("series, shared out", 4, n => PlanText.Of(LoadSeries.Solve(Series(n), Options(n) with { Spread = true }, Budget(200)))),
    ];

    private static IEnumerable<SeedProblem> Of(string kind, int count, Func<int, string> solve) =>
        Enumerable.Range(0, count).Select(n => new SeedProblem($"{kind} {n}", () => solve(n)));

    private static string Plan(LoadProblem problem, long iterations, int seed, int searches = 8) =>
        PlanText.Of(LoadSearch.Solve(problem, Options(seed) with { MostSearches = searches }, Budget(iterations)));

    private static string Spread(LoadProblem problem, long iterations, int seed) =>
        PlanText.Of(LoadSearch.Solve(problem, Options(seed) with { Spread = true }, Budget(iterations)));

    private static LoadOptions Options(int seed) => new() { Seed = (ulong)seed };

    private static WorkBudget Budget(long iterations) => WorkBudget.OfIterations(iterations, TestContext.Current.CancellationToken);

    private static long Few(int n) => (n % 4) switch { 0 => 1, 1 => 6, 2 => 20, _ => 60 };

    private static Footprint ShelfOf(int n) => (n % 5) switch
    {
        0 => Circle(360),
        1 => HalfCircle(500),
        2 => Rectangle(420, 300),
        3 => Octagon(380),
        _ => Polygon((0, 0), (400, 0), (400, 160), (220, 160), (220, 380), (0, 380)),
    };

    private static LoadProblem Rectangles(int n)
    {
        var random = new Random(n);
        List<LoadPiece> pieces = [.. Enumerable.Range(0, 40).Select(i => Piece(
            $"r{i}", Rectangle(40 + random.Next(80), 30 + random.Next(70)), n % 3 == 0 ? 60 : 40 + random.Next(60), 1 + random.Next(3),
            n % 2 == 0 ? 1 : 1 + random.Next(9), random.Next(4) != 0))];
        return n % 3 == 0 ? OneShelf(ShelfOf(n % 2 * 2), pieces, n % 4, 100) : Instance.Bare(Instance.Circle(360), 2, 260, n % 4, pieces);
    }

    private static LoadProblem Discs(int n)
    {
        var random = new Random(n);
        if (n < 3) return OneShelf(Circle(500), [Piece("d", Circle(36 + n), 50, 150)], 2);
        List<LoadPiece> pieces = [.. Enumerable.Range(0, 24)
            .Select(i => Piece($"d{i}", Circle(40 + random.Next(80)), 50, 1 + random.Next(2), n < 6 ? 1 : 1 + random.Next(30)))];
        return OneShelf(n % 2 == 0 ? Circle(330) : HalfCircle(460), pieces, n % 3);
    }

    private static LoadProblem Levels(int n, bool equal)
    {
        var random = new Random(n);
        Footprint Any(int i) => i % 3 == 0 ? Rectangle(50 + random.Next(70), 40 + random.Next(60)) : Circle(50 + random.Next(80));
        List<LoadPiece> pieces = [.. Enumerable.Range(0, 60)
            .Select(i => Piece($"l{i}", Any(i), 40 + random.Next(90), 1, equal ? 1 : 1 + (random.Next(90) / 10m)))];
        return n % 2 == 0
            ? Problem(
                new Chamber(Circle(380), Mm(330), Mm(10), Mm(5)),
                new Furniture(
                    [new ShelfStock("s", Circle(340), Mm(12), 4)], PostHeights.Stock,
                    [.. Enumerable.Range(1, 6).Select(i => new PostStock(Mm(20 * i), 6))], Mm(25), Mm(15)),
                new KilnSpacing(Mm(4), Mm(6), Length.Zero), pieces)
            : Instance.Bare(Instance.Circle(300), 4, 300, 3, pieces);
    }

    private static LoadProblem From(int n, Keep keep)
    {
        var first = MixedWare(9, n);
        var kiln = n % 2 == 0 ? RoundKiln(first)
            : Problem(RandomKilns.Any(n, withKeepOuts: false).Chamber, RandomKilns.Any(n, withKeepOuts: false).Furniture, UsualSpacing, first);
        var start = LoadSearch.Solve(kiln, Options(n), Budget(10));
        List<PinnedCopy> pins = keep == Keep.Pinned
            ? [.. start.Shelves.SelectMany(s => s.Placements).Where((_, i) => i % 3 == 0).SelectMany(p => p.Copies.Select(c => new PinnedCopy(p.PieceId, c)))]
                : [];
        // One piece is withdrawn unless it is pinned; two come.
        List<LoadPiece> now =
            [.. first.Where((p, i) => i != 4 || pins.Exists(c => c.PieceId == p.Id)), Piece("new", Circle(70), 60, 3, 4),
                Piece("wide", Rectangle(120, 60), 40, 2, 2)];
        return Problem(kiln.Chamber, kiln.Furniture, kiln.Spacing, now, null, start, pins.Count == 0 && keep == Keep.Pinned ? Keep.None : keep, pins);
    }

    private static LoadProblem Wishes(int n)
    {
        var random = new Random(n);
        List<LoadPiece> pieces = [.. MixedWare(10, n).Select((p, i) => p with
        {
            Priority = n % 2 == 0 ? 1 : p.Priority,
            Group = random.Next(3) switch { 0 => null, 1 => "a", _ => "b" },
            Wish = random.Next(3) switch { 0 => null, 1 => Heat.Hot, _ => Heat.Cool },
        })];
        return LoadProblem.Create(
            RoundChamber, RoundFurniture, UsualSpacing, pieces,
            heatZones: [new HeatZone(Length.Zero, Mm(200), Heat.Cool), new HeatZone(Mm(350), Mm(700), Heat.Hot)]).Value;
    }

    private static LoadProblem Low(int n)
    {
        var random = new Random(n);
        List<LoadPiece> pieces = [.. Enumerable.Range(0, 20)
            .Select(i => Piece($"a{i}", i % 4 == 0 ? Octagon(60 + random.Next(30)) : Circle(50 + random.Next(50)), 40 + random.Next(60)))];
        return Instance.Bare(Instance.Circle(300), 6, 700, 4, pieces);
    }

    private static LoadProblem Series(int n)
    {
        var random = new Random(n);
        List<LoadPiece> pieces = [.. MixedWare(7, n).Select(p => p with { Quantity = 1 + random.Next(6) })];
        return n % 2 == 0 ? OneShelf(Circle(300), [.. pieces.Where(p => p.Height <= Mm(180))], 4) : Instance.Bare(Instance.Circle(320), 3, 300, 4, pieces);
    }

    private static string RoomFor(int n)
    {
        List<LoadPiece> pieces = [.. MixedWare(9, n), Piece("wanted", Circle(150), 80, 1, 0.5m)];
        var problem = OneShelf(Circle(330), pieces, 4, 300);
        var plan = LoadSearch.Solve(problem, Options(n), Budget(20));
        var made = RoomMaking.Find(problem, plan, ["wanted"], Options(n), Budget(15));
        return made is null ? $"nothing\n{PlanText.Of(plan)}" : $"{string.Join(", ", made.Leaving)}: {made.Weight}\n{PlanText.Of(made.Plan)}";
    }
}
