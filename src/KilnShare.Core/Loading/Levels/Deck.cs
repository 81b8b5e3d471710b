using KilnShare.Core.Kilns;
using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading.Levels;

/// <summary>A place for one shelf in the chamber's plan.</summary>
/// <param name="Kind">Index of the kind of shelf.</param>
/// <param name="X">Of the shelf's origin, µm.</param>
/// <param name="Y">Of the shelf's origin, µm.</param>
/// <param name="Turn">Thousandths of a degree.</param>
/// <param name="Shape">The outline there.</param>
internal sealed record Seat(int Kind, long X, long Y, int Turn, PlacedShape Shape);

/// <summary>Shelves of one kind side by side at one height.</summary>
/// <param name="Kind">Index of the kind.</param>
/// <param name="Seats">Where they lie.</param>
/// <param name="Thickness">µm.</param>
internal sealed record Deck(int Kind, IReadOnlyList<Seat> Seats, long Thickness);

/// <summary>Finds how the shelves of each kind can lie at one height.</summary>
internal static class DeckChoice
{
    private static readonly int[] Quarters = [0, 90_000, 180_000, 270_000];

    /// <summary>One deck a kind, with as many shelves side by side as lie in the chamber and are in stock.</summary>
    public static List<Deck> Of(LoadProblem problem, long margin)
    {
        var chamber = PlacedShape.Of(problem.Chamber.Footprint, 0, 0, 0);
        var decks = new List<Deck>();
        for (var kind = 0; kind < problem.Furniture.Shelves.Count; kind++)
        {
            var stock = problem.Furniture.Shelves[kind];
            if (stock.Count == 0) continue;
            var seats = BestSeats(problem, kind, stock, chamber, margin);
            if (seats.Count > 0) decks.Add(new Deck(kind, seats, stock.Thickness.Micrometres));
        }

        return decks;
    }

    private static List<Seat> BestSeats(LoadProblem problem, int kind, ShelfStock stock, PlacedShape chamber, long margin)
    {
        var options = new List<List<Seat>>();
        foreach (var turn in Quarters) options.Add(Single(problem, kind, stock, turn));
        options.Add(Halves(problem, kind, stock));
        foreach (var turn in Quarters.Take(2)) options.AddRange(Grids(problem, kind, stock, turn));
        var columns = ColumnsIn(problem);
        List<Seat> best = [];
        foreach (var every in options)
        {
            // Beside a keep-out from floor to lid only some of the shelves fit, for instance one of two halves.
            List<Seat> option = [.. every.Where(s => columns.TrueForAll(c => Exact.Apart(s.Shape, c, margin)))];
            if (option.Count > best.Count && option.Count <= stock.Count && Lie(option, chamber, problem.Spacing.ShelfGap.Micrometres)) best = option;
        }

        return best;
    }

    // Keep-outs that reach from floor to lid: no shelf fits above or below them.
    private static List<PlacedShape> ColumnsIn(LoadProblem problem) =>
        [.. problem.KeepOuts.Where(k => k.From.Micrometres <= LoadLimits.LowestPostMicrometres && k.To >= problem.Chamber.Height - problem.Chamber.LidClearance)
            .Select(k => PlacedShape.Of(k.Footprint, k.At.X, k.At.Y, 0))];

    private static bool Lie(List<Seat> seats, PlacedShape chamber, long gap)
    {
        for (var i = 0; i < seats.Count; i++)
        {
            if (!Exact.Inside(seats[i].Shape, chamber, 0)) return false;
            for (var j = i + 1; j < seats.Count; j++)
            {
                if (!Exact.Apart(seats[i].Shape, seats[j].Shape, gap)) return false;
            }
        }

        return true;
    }

    private static Seat At(LoadProblem problem, int kind, long x, long y, int turn) =>
        new(kind, x, y, turn, PlacedShape.Of(problem.Furniture.Shelves[kind].Footprint, x, y, turn));

    // With its origin on the chamber's; where that does not fit, with its middle on the chamber's middle.
    private static List<Seat> Single(LoadProblem problem, int kind, ShelfStock stock, int turn)
    {
        var chamber = PlacedShape.Of(problem.Chamber.Footprint, 0, 0, 0);
        var atOrigin = At(problem, kind, 0, 0, turn);
        if (Exact.Inside(atOrigin.Shape, chamber, 0)) return [atOrigin];
        var (own, chamberBox) = (Box.Of(stock.Footprint, turn), Box.Of(problem.Chamber.Footprint, 0));
        return [At(problem, kind, chamberBox.MiddleX - own.MiddleX, chamberBox.MiddleY - own.MiddleY, turn)];
    }

    private static List<Seat> Halves(LoadProblem problem, int kind, ShelfStock stock)
    {
        if (stock.Footprint is not Footprint.HalfCircle) return [];
        var apart = (problem.Spacing.ShelfGap.Micrometres + 1) / 2;
        return [At(problem, kind, apart, 0, 0), At(problem, kind, -apart, 0, 180_000)];
    }

    private static IEnumerable<List<Seat>> Grids(LoadProblem problem, int kind, ShelfStock stock, int turn)
    {
        var (own, chamberBox) = (Box.Of(stock.Footprint, turn), Box.Of(problem.Chamber.Footprint, 0));
        var gap = problem.Spacing.ShelfGap.Micrometres;
        var (acrossX, acrossY) = ((chamberBox.Width + gap) / (own.Width + gap), (chamberBox.Depth + gap) / (own.Depth + gap));
        for (var nx = 1; nx <= Math.Min(acrossX, stock.Count); nx++)
        {
            for (var ny = 1; ny <= Math.Min(acrossY, stock.Count / nx); ny++)
            {
                if (nx * ny > 1) yield return Grid(problem, kind, turn, own, chamberBox, (int)nx, ny);
            }
        }
    }

    private static List<Seat> Grid(LoadProblem problem, int kind, int turn, Box own, Box chamberBox, int nx, long ny)
    {
        var gap = problem.Spacing.ShelfGap.Micrometres;
        var seats = new List<Seat>();
        for (var i = 0; i < nx; i++)
        {
            for (var j = 0; j < ny; j++)
            {
                var x = chamberBox.MiddleX - (((nx * own.Width) + ((nx - 1) * gap)) / 2) + (i * (own.Width + gap)) - own.MinX;
                var y = chamberBox.MiddleY - (((ny * own.Depth) + ((ny - 1) * gap)) / 2) + (j * (own.Depth + gap)) - own.MinY;
                seats.Add(At(problem, kind, x, y, turn));
            }
        }

        return seats;
    }

    private readonly record struct Box(long MinX, long MinY, long MaxX, long MaxY)
    {
        public long Width => MaxX - MinX;

        public long Depth => MaxY - MinY;

        public long MiddleX => (MinX + MaxX) / 2;

        public long MiddleY => (MinY + MaxY) / 2;

        public static Box Of(Footprint footprint, int turn)
        {
            var region = new Region();
            region.KeepInside(footprint, 0, 0, turn, 0);
            var (minX, maxX, minY, maxY) = region.Box;
            return new Box((long)Math.Round(minX), (long)Math.Round(minY), (long)Math.Round(maxX), (long)Math.Round(maxY));
        }
    }
}
