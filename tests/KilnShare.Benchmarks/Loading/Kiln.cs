using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;

namespace KilnShare.Benchmarks.Loading;

/// <summary>Turns instances into load problems and solves them by the clock.</summary>
internal static class Kiln
{
    /// <summary>What time is measured with.</summary>
    public static TimeProvider Clock { get; set; } = TimeProvider.System;

    /// <summary>Of the instances of a family only each so many-th is run.</summary>
    public static int Every { get; set; } = 1;

    /// <summary>The first seed of random kilns, so that a long run can be made in parts.</summary>
    public static int Skip { get; set; }

    public static Length Mm(double mm) => new((long)Math.Round(mm * 1000));

    public static Footprint Circle(double mm) => new Footprint.Circle(Mm(mm));

    public static Footprint Rectangle(double w, double d) => new Footprint.Rectangle(Mm(w), Mm(d));

    public static LoadPiece Piece(string id, Footprint footprint, double heightMm, int quantity = 1, decimal priority = 1, bool turn = true) =>
        new(id, footprint, Mm(heightMm), null, quantity, priority, turn, false, null, null);

    /// <summary>Shelves as large as the chamber, posts that take no room, nothing owed but the gap.</summary>
    public static LoadProblem Bare(Footprint shelf, int shelves, double heightMm, double gapMm, IReadOnlyList<LoadPiece> pieces) =>
        LoadProblem.Create(
            new Chamber(shelf, Mm(heightMm), Length.Zero, Length.Zero),
            new Furniture([new ShelfStock("s", shelf, Mm(1), shelves)], PostHeights.Any, [], Length.Zero, Length.Zero),
            new KilnSpacing(Mm(gapMm), Length.Zero, Length.Zero),
            pieces).Value;

    public static LoadPlan Solve(LoadProblem problem, double milliseconds, ulong seed = 1) =>
        LoadSearch.Solve(
            problem, new LoadOptions { Seed = seed },
            WorkBudget.OfTime(TimeSpan.FromMilliseconds(milliseconds), Clock, CancellationToken.None));

    /// <summary>One of the 120-piece loads: round shelf of 520 mm, chamber 690 mm high, posts 38 mm at 23 mm from the edge.</summary>
    public static (LoadProblem Problem, double BestLitres) Load(System.Text.Json.JsonElement root, bool stock)
    {
        var pieces = root.GetProperty("pieces").EnumerateArray().Select(p =>
        {
            var d = p.GetProperty("circle_d").GetDouble();
            var (w, l, h) = (p.GetProperty("w").GetDouble(), p.GetProperty("l").GetDouble(), p.GetProperty("h").GetDouble());
            var litres = (d > 0 ? Math.PI * d * d / 4 : w * l) * h / 1e6;
            return Piece($"{p.GetProperty("id").GetInt32()}", d > 0 ? Circle(d) : Rectangle(w, l), h, 1, decimal.Round((decimal)litres, 4));
        }).ToList();
        var posts = Enumerable.Range(1, 12).Select(i => new PostStock(Mm(25 * i), 30)).ToList();
        // The lowest shelf stands on 25 mm where posts come from the stock, on the floor where they do not.
        var chamber = new Chamber(Circle(570), Mm(stock ? 715 : 690), Mm(25), Mm(25));
        var furniture = new Furniture(
            [new ShelfStock("full", Circle(520), Mm(20), 30)], stock ? PostHeights.Stock : PostHeights.Any, stock ? posts : [], Mm(38), Mm(23));
        var problem = LoadProblem.Create(chamber, furniture, new KilnSpacing(Mm(6), Mm(12), Mm(3)), pieces).Value;
        return (problem, root.GetProperty("prototype").GetProperty("lns5_litres").GetDouble());
    }
}
