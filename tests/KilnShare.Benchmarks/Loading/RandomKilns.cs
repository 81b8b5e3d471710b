using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;
using static KilnShare.Benchmarks.Loading.Kiln;

namespace KilnShare.Benchmarks.Loading;

/// <summary>Invented kilns and ware from a seed.</summary>
internal static class RandomKilns
{
    /// <summary>Any kind of kiln, all shapes of shelf and ware.</summary>
    public static LoadProblem Any(int seed, int kinds = 0, bool withKeepOuts = true)
    {
        var random = new Random(seed);
        double Size(int low, int high) => low + (random.Next((high - low) * 100) / 100.0);
        var (diameter, stock) = (Size(300, 700), random.Next(2) == 0);
        Footprint shelf = random.Next(5) switch
        {
            0 or 1 => Circle(diameter),
            2 => new Footprint.Octagon(Mm(diameter)),
            3 => Rectangle(diameter, Size(250, 600)),
            _ => new Footprint.HalfCircle(Mm(diameter)),
        };
        List<ShelfStock> shelves = [new ShelfStock("a", shelf, Mm(Size(8, 25)), 1 + random.Next(6), random.Next(3) == 0 ? random.Next(1, 9000) : null)];
        if (shelf is Footprint.Circle && random.Next(2) == 0) shelves.Add(
            new ShelfStock("h", new Footprint.HalfCircle(Mm(diameter)), Mm(15), 1 + random.Next(6)));
        List<PostStock> posts = [.. Enumerable.Range(1, 5).Select(i => new PostStock(Mm(30 * i), random.Next(16)))];
        var furniture = new Furniture(
            shelves, stock ? PostHeights.Stock : PostHeights.Any, posts, Mm(stock ? Size(20, 45) : random.Next(2) * 30), Mm(random.Next(40)));
        var chamber = new Chamber(
            random.Next(3) == 0 ? Rectangle(Size(720, 900), Size(720, 900))
                : Circle(Size(740, 900)), Mm(Size(200, 900)), Mm(random.Next(60)), Mm(random.Next(30)));
        List<KeepOut> keepOuts = withKeepOuts && random.Next(3) == 0
            ? [new KeepOut(
                Circle(Size(20, 60)), new PlanPoint(random.Next(-350_000, 350_000), random.Next(-350_000, 350_000)), Mm(random.Next(300)),
                Mm(310 + random.Next(500)))] : [];
        var pieces = Enumerable.Range(0, kinds > 0 ? kinds : 1 + random.Next(14)).Select(i => AnyPiece(i, random)).ToList();
        return LoadProblem.Create(
            chamber, furniture, new KilnSpacing(Mm(random.Next(8)), Mm(random.Next(15)), Mm(random.Next(5))), pieces, keepOuts,
            heatZones: [new HeatZone(Length.Zero, Mm(150), Heat.Cool)]).Value;
    }

    private static LoadPiece AnyPiece(int i, Random random)
    {
        double Size(int low, int high) => low + (random.Next((high - low) * 1000) / 1000.0);
        var (w, d) = (Size(30, 160), Size(30, 160));
        Footprint footprint = random.Next(6) switch
        {
            0 or 1 => Circle(w),
            2 => Rectangle(w, d),
            3 => new Footprint.Octagon(Mm(w)),
            4 => new Footprint.HalfCircle(Mm(w + d)),
            _ => new Footprint.Polygon(
                [new(0, 0), new(Mm(w).Micrometres, 0), new(Mm(w).Micrometres, Mm(d / 3).Micrometres), new(Mm(w / 3).Micrometres, Mm(d / 3).Micrometres),
                new(Mm(w / 3).Micrometres, Mm(d).Micrometres), new(0, Mm(d).Micrometres)]),
        };
        return new LoadPiece(
            $"p{i}", footprint, Mm(Size(10, 260)), random.Next(3) == 0
                ? null : random.Next(1, 3000), 1 + random.Next(6), 1 + (random.Next(40) / 10m), random.Next(4) != 0,
            random.Next(5) == 0, random.Next(6) == 0 ? new StackRule(1 + random.Next(4), Mm(Size(3, 30))) : null, random.Next(2) == 0 ? "ab"[i % 2].ToString()
                : null)
        {
            Wish = random.Next(5) == 0 ? Heat.Cool : null,
        };
    }

    /// <summary>A round kiln with half shelves on few posts, a thermocouple through the wall and witness cones before the spy holes.</summary>
    public static LoadProblem WithHalves(int seed)
    {
        var random = new Random(seed);
        double Size(int low, int high) => low + (random.Next((high - low) * 100) / 100.0);
        var diameter = Size(380, 600);
        var furniture = new Furniture(
            [new ShelfStock("a", Circle(diameter), Mm(Size(10, 22)), 1 + random.Next(3)),
                new ShelfStock("h", new Footprint.HalfCircle(Mm(diameter)), Mm(Size(10, 22)), 2 + random.Next(7))],
            random.Next(4) == 0 ? PostHeights.Any
                : PostHeights.Stock, [.. Enumerable.Range(1, 6).Select(i => new PostStock(Mm(25 * i), 3 + random.Next(14)))], Mm(Size(20, 40)),
                Mm(Size(10, 30)));
        var chamber = new Chamber(Circle(diameter + Size(30, 120)), Mm(Size(400, 800)), Mm(random.Next(25)), Mm(random.Next(30)));
        var keepOuts = Enumerable.Range(0, 1 + random.Next(3)).Select(_ =>
        {
            var (angle, at, from) = (Size(0, 7), diameter / 2 * Size(0, 11) / 10, random.Next(500));
            return new KeepOut(
                random.Next(2) == 0 ? Circle(Size(15, 40))
                    : Rectangle(Size(20, 60), Size(20, 60)), new PlanPoint(Mm(at * Math.Cos(angle)).Micrometres, Mm(at * Math.Sin(angle)).Micrometres),
                Mm(from), Mm(from + 20 + random.Next(120)));
        }).ToList();
        var pieces = Enumerable.Range(0, 4 + random.Next(10)).Select(i => AnyPiece(i, random))
            .Append(Piece("tall", Circle(Size(60, 150)), Size(250, 380), 1 + random.Next(2), 20)).ToList();
        return LoadProblem.Create(chamber, furniture, new KilnSpacing(Mm(random.Next(8)), Mm(random.Next(15)), Mm(random.Next(5))), pieces, keepOuts).Value;
    }
}
