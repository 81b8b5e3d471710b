using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class SingleShelfTests
{
    // Best known ratios of shelf to disc: E. Specht, "The best known packings of equal circles in a circle" (packomania.com), to 0.002 %:
    // that much larger a shelf, and 10 µm for what is kept between things.
    [Theory]
    [InlineData(13, 4.236067977)]
    [InlineData(30, 6.197741071)]
    [InlineData(37, 6.758770483)]
    [InlineData(61, 8.661297576)]
    public void As_many_equal_discs_stand_on_a_round_shelf_as_is_known(int discs, double ratio)
    {
        var shelf = new Footprint.Circle(new Length((long)(2 * ratio * 250_000 * 1.00002) + 20));

        Assert.Equal(discs, SolvedSoundly(OneShelf(shelf, [Piece("d", Circle(499.99m), 50, quantity: discs)]), 20_000).PlacedWeight);
    }

    // Two unit discs side by side touch the arc and the flat side: they want a half disc of radius 1 + sqrt 2.
    [Theory]
    [InlineData(1.0001, 2)]
    [InlineData(0.9999, 1)]
    public void Two_discs_want_half_a_disc_of_one_and_the_root_of_two_radii(double part, int held)
    {
        var shelf = new Footprint.HalfCircle(new Length((long)(part * (1 + Math.Sqrt(2)) * 200_000)));

        Assert.Equal(held, SolvedSoundly(OneShelf(shelf, [Piece("d", Circle(200), 50, quantity: 2)]), 500).PlacedWeight);
    }

    // In rows offset by half, about one disc in the middle of the shelf: so many centres lie in the shelf less a disc's radius.
    [Theory]
    [InlineData(105)]
    [InlineData(150)]
    public void A_large_shelf_holds_at_once_the_rows_of_equal_discs_that_lie_in_it(int diameter)
    {
        var (step, reach, rows) = (diameter + 0.011, 2500 - (diameter / 2.0), 0);
        for (var i = -60; i <= 60; i++)
        {
            for (var j = -60; j <= 60; j++)
            {
                var (x, y) = ((i + (j / 2.0)) * step, j * Math.Sqrt(0.75) * step);
                if ((x * x) + (y * y) < (reach - 0.02) * (reach - 0.02)) rows++;
            }
        }

        var plan = SolvedSoundly(OneShelf(Circle(5000), [Piece("d", Circle(diameter), 50, quantity: 2000)]), 1);

        Assert.InRange(plan.PlacedWeight, rows, 2000);
    }

    [Theory]
    [InlineData(false, false)]
    [InlineData(false, true)]
    [InlineData(true, false)]
    [InlineData(true, true)]
    public void Up_to_five_rectangles_fill_a_shelf_as_well_as_trying_every_way(bool mayTurn, bool byArea)
    {
        for (var seed = 1; seed <= 25; seed++)
        {
            var random = new Random(seed);
            (int W, int D)[] sides = [.. Enumerable.Range(0, 3 + (seed % 3)).Select(_ => (2 + random.Next(5), 1 + random.Next(5)))];
            List<LoadPiece> pieces = [.. sides.Select((s, i) =>
                Piece($"{i}", Rectangle((s.W * 40) - 0.02m, (s.D * 40) - 0.02m), 50, 1, byArea ? s.W * s.D : 1, mayTurn))];
            List<LoadPiece> turned = [.. pieces.Select(p => p with { Footprint = Turned(p.Footprint) })];

            var plan = SolvedSoundly(OneShelf(Rectangle(EveryWay.Width * 40, EveryWay.Depth * 40), pieces), 400, (ulong)seed);
            var across = SolvedSoundly(OneShelf(Rectangle(EveryWay.Depth * 40, EveryWay.Width * 40), turned), 400, (ulong)seed);

            // One that may turn may also stand askew, which trying every way along the sides does not see.
            var best = EveryWay.Best(sides, mayTurn, byArea);
            Assert.InRange(plan.PlacedWeight, best, mayTurn ? pieces.Sum(p => p.Priority) : best);
            Assert.Equal(plan.PlacedWeight, across.PlacedWeight);
        }
    }

    [Theory]
    [InlineData("rectangle")]
    [InlineData("octagon")]
    [InlineData("round")]
    [InlineData("notched")]
    public void A_plan_turned_by_a_quarter_is_a_plan_of_the_turned_shelf(string shelf)
    {
        for (var seed = 1; seed <= 5; seed++)
        {
            var pieces = MixedWare(8, seed);
            var plan = SolvedSoundly(OneShelf(ShelfNamed(shelf), pieces, 4), 40, (ulong)seed);
            List<LoadPiece> turned = [.. pieces.Select(p => p.MayTurn ? p : p with { Footprint = Turned(p.Footprint) })];
            var moved = Moved(plan, p => p with
            {
                X = new Length(-p.Y.Micrometres),
                Y = p.X,
                RotationThousandths = pieces.Single(q => q.Id == p.PieceId).MayTurn ? (p.RotationThousandths + 90_000) % 360_000 : p.RotationThousandths,
            });

            Assert.Empty(LoadChecks.Violations(OneShelf(Turned(ShelfNamed(shelf)), turned, 4), moved));
        }
    }

    [Theory]
    [InlineData("rectangle")]
    [InlineData("octagon")]
    [InlineData("round")]
    [InlineData("notched")]
    [InlineData("half")]
    public void A_mirrored_plan_is_a_plan_of_the_mirrored_shelf(string shelf)
    {
        for (var seed = 1; seed <= 3; seed++)
        {
            var pieces = MixedWare(8, seed);
            var plan = SolvedSoundly(OneShelf(ShelfNamed(shelf), pieces, 4), 40, (ulong)seed);
            List<LoadPiece> mirrored = [.. pieces.Select(p => p with { Footprint = Mirrored(p.Footprint) })];
            var moved = Moved(plan, p => p with { Y = new Length(-p.Y.Micrometres), RotationThousandths = (360_000 - p.RotationThousandths) % 360_000 });

            Assert.Empty(LoadChecks.Violations(OneShelf(Mirrored(ShelfNamed(shelf)), mirrored, 4), moved));
        }
    }

    private static LoadPlan SolvedSoundly(LoadProblem problem, long iterations, ulong seed = 1)
    {
        var plan = Solve(problem, iterations, seed);
        Assert.Empty(LoadChecks.Violations(problem, plan));
        return plan;
    }

    private static Footprint ShelfNamed(string name) => name switch
    {
        "rectangle" => Rectangle(430, 310),
        "octagon" => Octagon(400),
        "round" => Circle(420),
        "half" => HalfCircle(560),
        _ => Ell(450, 390),
    };

    private static LoadPlan Moved(LoadPlan plan, Func<Placement, Placement> move) =>
        plan with { Shelves = [.. plan.Shelves.Select(s => s with { Placements = [.. s.Placements.Select(move)] })] };

    private static Footprint Turned(Footprint footprint) => footprint switch
    {
        Footprint.Rectangle r => new Footprint.Rectangle(r.Depth, r.Width),
        Footprint.Polygon p => new Footprint.Polygon([.. p.Points.Select(q => new PlanPoint(-q.Y, q.X))]),
        Footprint.HalfCircle h => HalfCircleTurned(h),
        _ => footprint,
    };

    // No half circle of the contract lies with its flat side below: one that may not turn is told by a chain of corners on its arc.
    private static Footprint.Polygon HalfCircleTurned(Footprint.HalfCircle half) => new([.. Enumerable.Range(0, 41).Select(i =>
        new PlanPoint(
            (long)(Math.Cos(Math.PI * i / 40) * half.Diameter.Micrometres / 2), (long)(Math.Sin(Math.PI * i / 40) * half.Diameter.Micrometres / 2)))]);

    private static Footprint Mirrored(Footprint footprint) =>
        footprint is Footprint.Polygon p ? new Footprint.Polygon([.. p.Points.Reverse().Select(q => new PlanPoint(q.X, -q.Y))]) : footprint;

    /// <summary>Tries every subset, every turn and every whole place of rectangles on a small shelf.</summary>
    private static class EveryWay
    {
        public const int Width = 9;
        public const int Depth = 7;

        public static int Best((int W, int D)[] sides, bool mayTurn, bool byArea) => Best(sides, 0, 0, mayTurn, byArea);

        private static int Best((int W, int D)[] sides, int from, ulong taken, bool mayTurn, bool byArea)
        {
            if (from == sides.Length) return 0;
            var (w, d) = sides[from];
            var best = Best(sides, from + 1, taken, mayTurn, byArea);
            var most = sides.Skip(from).Sum(s => byArea ? s.W * s.D : 1);
            foreach (var (across, along) in mayTurn && w != d ? new[] { (w, d), (d, w) } : [(w, d)])
            {
                for (var x = 0; x + across <= Width; x++)
                {
                    for (var y = 0; y + along <= Depth; y++)
                    {
                        var cells = Cells(x, y, across, along);
                        if ((cells & taken) != 0 || best == most) continue;
                        best = Math.Max(best, (byArea ? w * d : 1) + Best(sides, from + 1, taken | cells, mayTurn, byArea));
                    }
                }
            }

            return best;
        }

        private static ulong Cells(int x, int y, int across, int along)
        {
            ulong cells = 0;
            for (var i = x; i < x + across; i++)
            {
                for (var j = y; j < y + along; j++) cells |= 1UL << ((i * Depth) + j);
            }

            return cells;
        }
    }
}
