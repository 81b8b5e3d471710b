using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Tests.Loading;

/// <summary>Invented kilns and ware for the tests.</summary>
internal static class Sample
{
    public static Length Mm(decimal mm) => Length.TryFromMm(mm, out var length) ? length : throw new ArgumentOutOfRangeException(nameof(mm));

    public static Footprint Circle(decimal mm) => new Footprint.Circle(Mm(mm));

    public static Footprint HalfCircle(decimal mm) => new Footprint.HalfCircle(Mm(mm));

    public static Footprint Rectangle(decimal widthMm, decimal depthMm) => new Footprint.Rectangle(Mm(widthMm), Mm(depthMm));

    public static Footprint Octagon(decimal mm) => new Footprint.Octagon(Mm(mm));

    public static Footprint Polygon(params (decimal X, decimal Y)[] points) =>
        new Footprint.Polygon([.. points.Select(p => new PlanPoint(Mm(p.X).Micrometres, Mm(p.Y).Micrometres))]);

    public static LoadPiece Piece(
        string id, Footprint footprint, decimal heightMm, int quantity = 1, decimal priority = 1, bool mayTurn = true, decimal? massG = null,
        bool touch = false, StackRule? stack = null) =>
        new(id, footprint, Mm(heightMm), massG, quantity, priority, mayTurn, touch, stack, null);

    /// <summary>The chamber, furniture and spacing of the contract's example of the load-plan call.</summary>
    public static Chamber RoundChamber { get; } = new(Circle(585), Mm(685), Mm(25), Mm(12));

    public static Furniture RoundFurniture { get; } = new(
        [new ShelfStock("full", Circle(533), Mm(19), 4), new ShelfStock("half", HalfCircle(533), Mm(19), 4)],
        PostHeights.Stock,
        [new PostStock(Mm(25), 9), new PostStock(Mm(50), 9), new PostStock(Mm(100), 12), new PostStock(Mm(150), 12)],
        Mm(38),
        Mm(25));

    public static KilnSpacing UsualSpacing { get; } = new(Mm(6), Mm(12), Mm(3));

    public static LoadProblem RoundKiln(IReadOnlyList<LoadPiece> pieces, IReadOnlyList<KeepOut>? keepOuts = null) =>
        Problem(RoundChamber, RoundFurniture, UsualSpacing, pieces, keepOuts);

    /// <summary>One shelf as large as the chamber, posts that take no room, nothing owed to wall or lid.</summary>
    public static LoadProblem OneShelf(Footprint shelf, IReadOnlyList<LoadPiece> pieces, decimal gapMm = 0, decimal heightMm = 200) =>
        Problem(
            new Chamber(shelf, Mm(heightMm), Length.Zero, Length.Zero),
            new Furniture([new ShelfStock("s", shelf, Mm(10), 1)], PostHeights.Any, [], Length.Zero, Length.Zero),
            new KilnSpacing(Mm(gapMm), Length.Zero, Length.Zero),
            pieces);

    public static LoadProblem Problem(
        Chamber chamber, Furniture furniture, KilnSpacing spacing, IReadOnlyList<LoadPiece> pieces, IReadOnlyList<KeepOut>? keepOuts = null,
        LoadPlan? start = null, Keep keep = Keep.None, IReadOnlyList<PinnedCopy>? pinned = null) =>
        LoadProblem.Create(chamber, furniture, spacing, pieces, keepOuts, start, keep, pinned).Value;

    public static LoadPlan Solve(LoadProblem problem, long iterations = 50, ulong seed = 1) =>
        LoadSearch.Solve(problem, new LoadOptions { Seed = seed }, WorkBudget.OfIterations(iterations, TestContext.Current.CancellationToken));

    /// <summary>Shapes of all kinds, sizes from a seed.</summary>
    public static List<LoadPiece> MixedWare(int kinds, int seed)
    {
        var random = new Random(seed);
        decimal Size(int low, int high) => low + (random.Next((high - low) * 10) / 10m);
        Footprint Any() => random.Next(6) switch
        {
            0 or 1 => Circle(Size(50, 180)),
            2 => Rectangle(Size(40, 160), Size(40, 160)),
            3 => Octagon(Size(50, 150)),
            4 => HalfCircle(Size(60, 200)),
            _ => Ell(Size(40, 120), Size(40, 120)),
        };
        return [.. Enumerable.Range(0, kinds).Select(i => Piece(
            $"p{i}", Any(), Size(20, 260), 1 + random.Next(4), 1 + (random.Next(50) / 10m), random.Next(4) != 0, random.Next(3) == 0 ? null : Size(100, 2500),
            random.Next(5) == 0, random.Next(5) == 0 ? new StackRule(1 + random.Next(4), Mm(Size(5, 30))) : null))];
    }

    /// <summary>An L with one corner cut out.</summary>
    public static Footprint Ell(decimal w, decimal d) =>
        Polygon((0, 0), (w, 0), (w, decimal.Round(d / 3)), (decimal.Round(w / 3), decimal.Round(d / 3)), (decimal.Round(w / 3), d), (0, d));

    /// <summary>Discs that may stand anywhere, so few posts of each length that levels take longer ones, and thin keep-outs in mid air.</summary>
    public static LoadProblem ScarcePosts(int seed)
    {
        var random = new Random(seed);
        decimal Size(int low, int high) => low + random.Next(high - low);
        List<LoadPiece> pieces = [.. Enumerable.Range(0, 3 + random.Next(4))
            .Select(i => Piece($"p{i}", Circle(Size(60, 180)), Size(30, 150), 1 + random.Next(3), mayTurn: false))];
        var furniture = new Furniture(
            [new ShelfStock("s", Circle(400), Mm(10), 2 + random.Next(3))], PostHeights.Stock,
            [.. Enumerable.Range(1, 4).Select(i => new PostStock(Mm(40 * i), 1 + random.Next(6)))], Mm(20), Mm(10));
        KeepOut AnyKeepOut()
        {
            var from = Size(60, 400);
            return new KeepOut(
                Circle(Size(20, 60)), new PlanPoint(random.Next(-150_000, 150_000), random.Next(-150_000, 150_000)), Mm(from), Mm(from + Size(15, 40)));
        }

        List<KeepOut> keepOuts = [.. Enumerable.Range(0, 1 + random.Next(2)).Select(_ => AnyKeepOut())];
        return Problem(new Chamber(Circle(500), Mm(500), Mm(0), Mm(0)), furniture, new KilnSpacing(Mm(5), Mm(5), Mm(0)), pieces, keepOuts);
    }
}
