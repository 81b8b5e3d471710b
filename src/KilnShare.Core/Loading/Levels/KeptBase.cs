using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Shelves;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading.Levels;

/// <summary>Shelves and posts of a start plan that stay as they are, with what stands on them; new levels may come on top.</summary>
/// <param name="Shelves">As planned.</param>
/// <param name="Posts">As planned.</param>
/// <param name="Seats">Where each shelf lies.</param>
/// <param name="Under">Axes of the posts under each shelf; empty for one on the floor.</param>
/// <param name="Trays">The ware on each shelf.</param>
internal sealed record KeptBase(
    IReadOnlyList<PlacedShelf> Shelves,
    IReadOnlyList<PlacedPost> Posts,
    IReadOnlyList<Seat> Seats,
    IReadOnlyList<Axis[]> Under,
    IReadOnlyList<Tray> Trays)
{
    /// <summary>Upper face of the highest shelf, µm over the floor.</summary>
    public long ShelfTop => Shelves[^1].Top.Micrometres;

    /// <summary>Top of the highest ware, µm over the floor.</summary>
    public long WareTop => Trays.Max(t => t.Space.ShelfTop + t.Tallest);

    public KeptBase Copy() => this with { Trays = [.. Trays.Select(t => t.Copy())] };

    /// <summary>The start plan made into trays; copies that need not stay may be moved by the search.</summary>
    public static KeptBase Of(LoadInstance instance, LoadPlan start, ItemPool pool)
    {
        var problem = instance.Problem;
        var items = pool.All.ToDictionary(w => w.Piece.Id, StringComparer.Ordinal);
        var seats = SeatsOf(problem, start);
        List<Axis[]> under = [.. start.Shelves.Select(s => AxesUnder(start, s))];
        var trays = new List<Tray>();
        for (var i = 0; i < seats.Count; i++)
        {
            var tray = new Tray(SpaceOf(instance, start, seats, i), instance.Distances);
            foreach (var placement in start.Shelves[i].Placements) Stand(problem, tray, placement, items[placement.PieceId], pool);
            trays.Add(tray);
        }

        return new KeptBase(start.Shelves, start.Posts, seats, under, trays);
    }

    /// <summary>A shelf of a plan, still without ware, with the space that all else in the plan leaves on it.</summary>
    public static Tray TrayOf(LoadInstance instance, LoadPlan plan, int shelf) =>
        new(SpaceOf(instance, plan, SeatsOf(instance.Problem, plan), shelf), instance.Distances);

    /// <summary>True when a shelf of a plan balances on its posts with that ware on it.</summary>
    public static bool Balances(LoadInstance instance, LoadPlan plan, int shelf, Tray tray)
    {
        var under = AxesUnder(plan, plan.Shelves[shelf]);
        return under.Length == 0 || Balancing.IsSound(instance, SeatsOf(instance.Problem, plan)[shelf], under, tray);
    }

    /// <summary>The same with space for posts on the highest shelves; ware in their way that may move is taken off.</summary>
    public KeptBase WithPostsOn(LoadInstance instance, IReadOnlyList<Axis> axes, ItemPool pool)
    {
        var trays = Trays.Select((tray, i) =>
        {
            if (Shelves[i].Top.Micrometres != ShelfTop || !instance.HasPosts) return tray.Copy();
            var copy = tray.CopyInto(instance.WithPosts(tray.Space, axes));
            foreach (var placedItem in tray.PlacedItems.Except(copy.PlacedItems)) pool.Waiting[placedItem.Item.Index] += placedItem.Count;
            return copy;
        });
        return this with { Trays = [.. trays] };
    }

    /// <summary>Posts on which new levels may stand: those under the highest shelves, where no ware that stays is in the way.</summary>
    public List<Axis> AxesForMore(LoadInstance instance)
    {
        var found = new List<Axis>();
        for (var i = 0; i < Shelves.Count; i++)
        {
            if (Shelves[i].Top.Micrometres != ShelfTop) continue;
            // A shelf on the floor carries a post anywhere; the others only over a post below.
            foreach (var axis in Under[i].Length > 0 ? Under[i] : instance.Layouts.SelectMany(d => d.Axes).SelectMany(a => a).Distinct())
            {
                if (Exact.PointInside(axis.X, axis.Y, Seats[i].Shape, 0) && IsClear(instance, axis)) found.Add(axis);
            }
        }

        return found;
    }

    /// <summary>Index of the highest shelf that an axis is on.</summary>
    public int TopShelfUnder(Axis axis)
    {
        for (var i = 0; i < Shelves.Count; i++)
        {
            if (Shelves[i].Top.Micrometres == ShelfTop && Exact.PointInside(axis.X, axis.Y, Seats[i].Shape, 0)) return i;
        }

        throw new InvalidOperationException("A post stands on no shelf.");
    }

    /// <summary>True when no ware that stays on the highest shelves is too near a post there.</summary>
    public bool IsClear(LoadInstance instance, Axis axis)
    {
        var post = instance.PostAt(axis);
        var owed = instance.Distances.Gap + instance.Distances.Margin;
        for (var i = 0; i < Shelves.Count; i++)
        {
            if (Shelves[i].Top.Micrometres + Trays[i].Tallest <= ShelfTop) continue;
            foreach (var s in Trays[i].PlacedItems)
            {
                if (s.Kept.Count > 0 && !Exact.Apart(post, s.Exact, owed)) return false;
            }
        }

        return true;
    }

    private static void Stand(LoadProblem problem, Tray tray, Placement placement, Item item, ItemPool pool)
    {
        var kept = placement.Copies.Where(c => problem.IsKept(item.Piece.Id, c)).ToList();
        var placedItem = new PlacedItem(
            item, placement.Copies.Count, placement.X.Micrometres, placement.Y.Micrometres, placement.RotationThousandths, kept,
                [.. kept.Union(placement.Copies)]);
        if (kept.Count == 0 && !tray.Allows(placedItem)) return;
        tray.Add(placedItem);
        pool.Waiting[item.Index] -= placedItem.Count;
    }

    private static List<Seat> SeatsOf(LoadProblem problem, LoadPlan plan)
    {
        var kinds = problem.Furniture.Shelves.Select((s, i) => (s.Id, i)).ToDictionary(x => x.Id, x => x.i, StringComparer.Ordinal);
        return [.. plan.Shelves.Select(s => SeatOf(problem, s, kinds[s.ShelfId]))];
    }

    private static Axis[] AxesUnder(LoadPlan plan, PlacedShelf shelf) => [.. plan.Posts.Where(p => p.Carries.Contains(shelf.Index)).Select(AxisOf)];

    private static Seat SeatOf(LoadProblem problem, PlacedShelf shelf, int kind) =>
        new(kind, shelf.X.Micrometres, shelf.Y.Micrometres, shelf.RotationThousandths, PlacedShape.Of(
            problem.Furniture.Shelves[kind].Footprint, shelf.X.Micrometres, shelf.Y.Micrometres, shelf.RotationThousandths));

    private static Axis AxisOf(PlacedPost post) => new(post.X.Micrometres, post.Y.Micrometres);

    // What is there bounds the space: posts, shelves above (headroom under them, a gap beside them), ware on shelves beside.
    private static TraySpace SpaceOf(LoadInstance instance, LoadPlan start, List<Seat> seats, int at)
    {
        var shelfTop = start.Shelves[at].Top.Micrometres;
        var fixtures = new List<Fixture>();
        foreach (var post in start.Posts)
        {
            var footprint = new Footprint.Circle(instance.Problem.Furniture.PostDiameter);
            fixtures.Add(new Fixture(footprint, post.X.Micrometres, post.Y.Micrometres, 0, instance.Distances.Gap, post.From.Micrometres, post.To.Micrometres));
        }

        for (var i = 0; i < seats.Count; i++)
        {
            var top = start.Shelves[i].Top.Micrometres;
            var kind = instance.Problem.Furniture.Shelves[seats[i].Kind];
            if (top < shelfTop || i == at) continue;
            if (top == shelfTop) fixtures.AddRange(WareOn(instance, start.Shelves[i], shelfTop));
            if (top == shelfTop) continue;
            var underside = top - kind.Thickness.Micrometres;
            fixtures.Add(new Fixture(kind.Footprint, seats[i].X, seats[i].Y, seats[i].Turn, instance.Distances.Gap, underside, long.MaxValue));
            fixtures.Add(new Fixture(kind.Footprint, seats[i].X, seats[i].Y, seats[i].Turn, 0, underside - instance.Headroom, long.MaxValue));
        }

        List<Seat> beside = [.. seats.Where((_, i) => start.Shelves[i].Top.Micrometres == shelfTop)];
        return LoadInstance.With(instance.SpaceOf(seats[at], [], shelfTop, instance.Lid - shelfTop, beside), fixtures);
    }

    private static IEnumerable<Fixture> WareOn(LoadInstance instance, PlacedShelf shelf, long shelfTop) =>
        shelf.Placements.Select(p => new Fixture(
            instance.Problem.Pieces.First(q => string.Equals(q.Id, p.PieceId, StringComparison.Ordinal)).Footprint,
            p.X.Micrometres, p.Y.Micrometres, p.RotationThousandths, instance.Distances.Gap, shelfTop, long.MaxValue));
}
