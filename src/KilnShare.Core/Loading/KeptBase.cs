using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading;

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
    public long Top => Shelves[^1].Top.Micrometres;

    /// <summary>Top of the highest ware, µm over the floor.</summary>
    public long WareTop => Trays.Max(t => t.Room.Floor + t.Tallest);

    public KeptBase Copy() => this with { Trays = [.. Trays.Select(t => t.Copy())] };

    /// <summary>The start plan made into trays; copies that need not stay may be moved by the search.</summary>
    public static KeptBase Of(Setting setting, LoadPlan start, LotPool pool)
    {
        var problem = setting.Problem;
        var kinds = problem.Furniture.Shelves.Select((s, i) => (s.Id, i)).ToDictionary(x => x.Id, x => x.i, StringComparer.Ordinal);
        var lots = pool.All.ToDictionary(w => w.Piece.Id, StringComparer.Ordinal);
        List<Seat> seats = [.. start.Shelves.Select(s => SeatOf(problem, s, kinds[s.ShelfId]))];
        List<Axis[]> under = [.. start.Shelves.Select(s => start.Posts.Where(p => p.Carries.Contains(s.Index)).Select(AxisOf).ToArray())];
        var trays = new List<Tray>();
        for (var i = 0; i < seats.Count; i++)
        {
            var tray = new Tray(RoomOf(setting, start, seats, i), setting.Distances);
            foreach (var placement in start.Shelves[i].Placements) Stand(problem, tray, placement, lots[placement.PieceId], pool);
            trays.Add(tray);
        }

        return new KeptBase(start.Shelves, start.Posts, seats, under, trays);
    }

    /// <summary>The same with room left for posts on the highest shelves; ware that is in their way and may move is taken off.</summary>
    public KeptBase WithPostsOn(Setting setting, IReadOnlyList<Axis> axes, LotPool pool)
    {
        var trays = Trays.Select((tray, i) =>
        {
            if (Shelves[i].Top.Micrometres != Top || !setting.HasPosts) return tray.Copy();
            var copy = tray.CopyInto(setting.WithPosts(tray.Room, axes));
            foreach (var standing in tray.Standings.Except(copy.Standings)) pool.Waiting[standing.Lot.Index] += standing.Count;
            return copy;
        });
        return this with { Trays = [.. trays] };
    }

    /// <summary>Posts on which new levels may stand: those under the highest shelves, where no ware that stays is in the way.</summary>
    public List<Axis> AxesForMore(Setting setting)
    {
        var found = new List<Axis>();
        for (var i = 0; i < Shelves.Count; i++)
        {
            if (Shelves[i].Top.Micrometres != Top) continue;
            // A shelf on the floor carries a post anywhere; the others only over a post below.
            foreach (var axis in Under[i].Length > 0 ? Under[i] : setting.Designs.SelectMany(d => d.Axes).SelectMany(a => a).Distinct())
            {
                if (Exact.PointInside(axis.X, axis.Y, Seats[i].Shape, 0) && IsClear(setting, axis)) found.Add(axis);
            }
        }

        return found;
    }

    /// <summary>Index of the highest shelf that an axis is on.</summary>
    public int TopShelfUnder(Axis axis)
    {
        for (var i = 0; i < Shelves.Count; i++)
        {
            if (Shelves[i].Top.Micrometres == Top && Exact.PointInside(axis.X, axis.Y, Seats[i].Shape, 0)) return i;
        }

        throw new InvalidOperationException("A post stands on no shelf.");
    }

    /// <summary>True when no ware that stays on the highest shelves is too near a post there.</summary>
    public bool IsClear(Setting setting, Axis axis)
    {
        var post = setting.PostAt(axis);
        var owed = setting.Distances.Gap + setting.Distances.Margin;
        for (var i = 0; i < Shelves.Count; i++)
        {
            if (Shelves[i].Top.Micrometres + Trays[i].Tallest <= Top) continue;
            foreach (var s in Trays[i].Standings)
            {
                if (s.Kept.Count > 0 && !Exact.Apart(post, s.Exact, owed)) return false;
            }
        }

        return true;
    }

    private static void Stand(LoadProblem problem, Tray tray, Placement placement, Lot lot, LotPool pool)
    {
        var kept = placement.Copies.Where(c => problem.IsKept(lot.Piece.Id, c)).ToList();
        var standing = new Standing(
            lot, placement.Copies.Count, placement.X.Micrometres, placement.Y.Micrometres, placement.RotationThousandths, kept, [.. kept.Union(placement.Copies)]);
        if (kept.Count == 0 && !tray.Allows(standing)) return;
        tray.Add(standing);
        pool.Waiting[lot.Index] -= standing.Count;
    }

    private static Seat SeatOf(LoadProblem problem, PlacedShelf shelf, int kind) =>
        new(kind, shelf.X.Micrometres, shelf.Y.Micrometres, shelf.RotationThousandths, PlacedShape.Of(
            problem.Furniture.Shelves[kind].Footprint, shelf.X.Micrometres, shelf.Y.Micrometres, shelf.RotationThousandths));

    private static Axis AxisOf(PlacedPost post) => new(post.X.Micrometres, post.Y.Micrometres);

    // Everything that is there bounds the room: posts, shelves above (headroom under them, a gap beside them), ware on shelves beside.
    private static TrayRoom RoomOf(Setting setting, LoadPlan start, List<Seat> seats, int at)
    {
        var floor = start.Shelves[at].Top.Micrometres;
        var things = new List<Thing>();
        foreach (var post in start.Posts)
        {
            var footprint = new Footprint.Circle(setting.Problem.Furniture.PostDiameter);
            things.Add(new Thing(footprint, post.X.Micrometres, post.Y.Micrometres, 0, setting.Distances.Gap, post.From.Micrometres, post.To.Micrometres));
        }

        for (var i = 0; i < seats.Count; i++)
        {
            var top = start.Shelves[i].Top.Micrometres;
            var kind = setting.Problem.Furniture.Shelves[seats[i].Kind];
            if (top < floor || i == at) continue;
            if (top == floor) things.AddRange(WareOn(setting, start.Shelves[i], floor));
            if (top == floor) continue;
            var underside = top - kind.Thickness.Micrometres;
            things.Add(new Thing(kind.Footprint, seats[i].X, seats[i].Y, seats[i].Turn, setting.Distances.Gap, underside, long.MaxValue));
            things.Add(new Thing(kind.Footprint, seats[i].X, seats[i].Y, seats[i].Turn, 0, underside - setting.Headroom, long.MaxValue));
        }

        List<Seat> beside = [.. seats.Where((_, i) => start.Shelves[i].Top.Micrometres == floor)];
        return Setting.With(setting.RoomOf(seats[at], [], floor, setting.Lid - floor, beside), things);
    }

    private static IEnumerable<Thing> WareOn(Setting setting, PlacedShelf shelf, long floor) =>
        shelf.Placements.Select(p => new Thing(
            setting.Problem.Pieces.First(q => string.Equals(q.Id, p.PieceId, StringComparison.Ordinal)).Footprint,
            p.X.Micrometres, p.Y.Micrometres, p.RotationThousandths, setting.Distances.Gap, floor, long.MaxValue));
}

/// <summary>Something in its place that ware keeps from.</summary>
/// <param name="Footprint">Its outline.</param>
/// <param name="X">Its origin, µm.</param>
/// <param name="Y">Its origin, µm.</param>
/// <param name="Turn">Thousandths of a degree.</param>
/// <param name="Clearance">What is owed, µm.</param>
/// <param name="From">It matters to ware that reaches above this, µm over the floor.</param>
/// <param name="To">It matters to ware that begins below this.</param>
internal sealed record Thing(Footprint Footprint, long X, long Y, int Turn, long Clearance, long From, long To)
{
    public Barrier AsBarrier() => new(PlacedShape.Of(Footprint, X, Y, Turn), Clearance, From, To);

    public Obstacle AsObstacle()
    {
        var shape = Shape.Of(Footprint);
        var (cos, sin) = Turning.Of(Turn);
        return new Obstacle(
            shape, X + (cos * shape.CentreX) - (sin * shape.CentreY), Y + (sin * shape.CentreX) + (cos * shape.CentreY), Turn, Clearance, From, To);
    }
}
