using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Levels;

/// <summary>The problem prepared for the search: what does not change while it runs.</summary>
internal sealed record LoadInstance
{
    // Beyond anything that a chamber may measure, µm.
    private const double Outside = LoadLimits.MaxLengthMicrometres;
    private readonly Dictionary<Seat, Region> regions = [];
    private readonly (PlacedShape Exact, KeepOut KeepOut)[] keepOuts;
    private List<Layout>? layouts;

    public LoadInstance(LoadProblem problem, LoadOptions options, LoadPlan? kept = null)
    {
        Problem = problem;
        Distances = new Distances(problem.Spacing.Gap.Micrometres, options.MarginMicrometres);
        Chamber = PlacedShape.Of(problem.Chamber.Footprint, 0, 0, 0);
        FromStock = problem.Furniture.PostHeights == PostHeights.Stock;
        HasPosts = FromStock || problem.Furniture.PostDiameter.Micrometres > 0;
        Stock = new PostSupply(problem.Furniture, kept?.Posts ?? []);
        keepOuts = [.. problem.KeepOuts.Select(k => (PlacedShape.Of(k.Footprint, k.At.X, k.At.Y, 0), k))];
        Lid = problem.Chamber.Height.Micrometres - Math.Max(problem.Chamber.LidClearance.Micrometres, problem.Spacing.Headroom.Micrometres);
        MostlyRectangles = problem.Pieces.Count(p => p.Footprint is Pieces.Footprint.Rectangle) > 0.8 * problem.Pieces.Count;
        Decks = DeckChoice.Of(problem, options.MarginMicrometres);
    }

    public LoadProblem Problem { get; }

    public Distances Distances { get; }

    public PlacedShape Chamber { get; }

    /// <summary>True when most pieces are rectangles: they are placed by corner places and exchanges, not by pushing them about.</summary>
    public bool MostlyRectangles { get; }

    /// <summary>The same under a lower lid.</summary>
    public LoadInstance Below(long top) => this with { Lid = top };

    public bool FromStock { get; }

    /// <summary>False where posts take no room and are not listed.</summary>
    public bool HasPosts { get; }

    public PostSupply Stock { get; }

    /// <summary>No ware above this, µm over the floor.</summary>
    public long Lid { get; private init; }

    public long Headroom => Problem.Spacing.Headroom.Micrometres;

    public bool HasKeepOuts => keepOuts.Length > 0;

    public IReadOnlyList<Deck> Decks { get; }

    public IReadOnlyList<Layout> Layouts => layouts ??= LayoutChoice.Of(this);

    /// <summary>Underside of the lowest shelf, µm over the floor; null when no post is long enough.</summary>
    public long? Lowest => FromStock ? Stock.AtLeast(LoadLimits.LowestPostMicrometres) : 0;

    /// <summary>True when the item wishes for a hotter or cooler place than a shelf at that height.</summary>
    public bool IsUnmet(Item item, long shelfTop) => item.Wish is not null && Problem.IsUnmet(item.Piece, new Length(shelfTop));

    /// <summary>True when a post there is in the chamber and in no keep-out.</summary>
    public bool PostMayStand(Axis axis)
    {
        var disc = PostAt(axis);
        return Exact.Inside(disc, Chamber, 0) && keepOuts.All(k => Exact.Apart(disc, k.Exact, Distances.Margin));
    }

    /// <summary>True when a post there passes every shelf of the deck but that one.</summary>
    public bool StandsBeside(Axis axis, Seat under, Deck deck)
    {
        var post = PostAt(axis);
        return deck.Seats.All(s => ReferenceEquals(s, under) || Exact.Apart(post, s.Shape, Distances.Margin));
    }

    /// <summary>From one post's axis to another's at least, µm.</summary>
    public long PostsApart => Problem.Furniture.PostDiameter.Micrometres + Distances.Margin;

    public PlacedShape PostAt(Axis axis) => PlacedShape.Disc(axis.X, axis.Y, Problem.Furniture.PostDiameter.Micrometres);

    /// <summary>True when a deck with its underside there lies in no keep-out.</summary>
    public bool DeckMayLie(Deck deck, long underside)
    {
        foreach (var seat in deck.Seats)
        {
            if (!ShelfMayLie(seat, deck.Thickness, underside)) return false;
        }

        return true;
    }

    /// <summary>True when a shelf with its underside there lies in no keep-out.</summary>
    public bool ShelfMayLie(Seat seat, long thickness, long underside) => IsClear(seat.Shape, underside, underside + thickness, 0);

    /// <summary>True when ware on a shelf of that upper face is far enough from every keep-out.</summary>
    public bool MayStand(PlacedItem placedItem, long shelfTop) => IsClear(placedItem.Exact, shelfTop, shelfTop + placedItem.Height, Distances.Gap);

    /// <summary>The lowest height, from there up, at which the shelves lie in no keep-out; null when there is none.</summary>
    public long? LowestFor(IReadOnlyList<Seat> seats, long thickness, long underside)
    {
        while (!seats.All(s => ShelfMayLie(s, thickness, underside)))
        {
            var above = keepOuts.Select(k => k.KeepOut.To.Micrometres).Where(t => t > underside).DefaultIfEmpty(-1).Min();
            if (above < 0) return null;
            underside = above;
        }

        return underside;
    }

    private bool IsClear(PlacedShape shape, long from, long to, long owed)
    {
        foreach (var (exact, keepOut) in keepOuts)
        {
            if (keepOut.From.Micrometres < to && keepOut.To.Micrometres > from && !Exact.Apart(shape, exact, owed + Distances.Margin)) return false;
        }

        return true;
    }

    /// <summary>The space for ware on a seat, with posts on it and a clear height.</summary>
    public TraySpace SpaceOf(Seat seat, IReadOnlyList<Axis> postsOnIt, long shelfTop, long clearHeight, IReadOnlyList<Seat>? neighbours = null)
    {
        var fixtures = new List<Fixture>();
        foreach (var keepOut in Problem.KeepOuts)
        {
            var (from, to) = (keepOut.From.Micrometres, keepOut.To.Micrometres);
            if (to > shelfTop && from < shelfTop + clearHeight) fixtures.Add(
                new Fixture(keepOut.Footprint, keepOut.At.X, keepOut.At.Y, 0, Distances.Gap, from, to));
        }

        fixtures.AddRange(BeyondNeighbours(seat, neighbours ?? []));
        var wall = Problem.Chamber.WallClearance.Micrometres;
        var bare = new TraySpace(RegionOf(seat), seat.Shape, Chamber, wall, [], shelfTop, clearHeight) { Area = AreaOf(seat) };
        return WithPosts(With(bare, fixtures), postsOnIt);
    }

    /// <summary>The space with posts standing on the shelf.</summary>
    public TraySpace WithPosts(TraySpace space, IReadOnlyList<Axis> posts)
    {
        var footprint = new Pieces.Footprint.Circle(Problem.Furniture.PostDiameter);
        return With(space, [.. (HasPosts ? posts : []).Select(a => new Fixture(footprint, a.X, a.Y, 0, Distances.Gap, long.MinValue, long.MaxValue))]);
    }

    /// <summary>The space with more fixtures that ware keeps from.</summary>
    public static TraySpace With(TraySpace space, IReadOnlyList<Fixture> fixtures) => space with
    {
        Region = space.Region.With(fixtures.Select(t => t.AsObstacle())),
        ExactObstacles = [.. space.ExactObstacles, .. fixtures.Select(t => t.AsExactObstacle())],
    };

    public double AreaOf(Seat seat) => Shape.Of(Problem.Furniture.Shelves[seat.Kind].Footprint).Area;

    // Shelves side by side may lie nearer to each other than the gap between ware: ware on each keeps half the gap from the line halfway between.
    private IEnumerable<Fixture> BeyondNeighbours(Seat seat, IReadOnlyList<Seat> neighbours)
    {
        var own = RegionOf(seat).Box;
        foreach (var other in neighbours)
        {
            if (ReferenceEquals(other, seat) || Distances.Gap <= Problem.Spacing.ShelfGap.Micrometres) continue;
            var far = RegionOf(other).Box;
            var (minX, maxX, minY, maxY) = (-Outside, Outside, -Outside, Outside);
            if (far.MinX >= own.MaxX) minX = Math.Floor((far.MinX + own.MaxX) / 2);
            else if (far.MaxX <= own.MinX) maxX = Math.Ceiling((far.MaxX + own.MinX) / 2);
            else if (far.MinY >= own.MaxY) minY = Math.Floor((far.MinY + own.MaxY) / 2);
            else maxY = Math.Ceiling((far.MaxY + own.MinY) / 2);
            var footprint = new Pieces.Footprint.Polygon(
                [new((long)minX, (long)minY), new((long)maxX, (long)minY), new((long)maxX, (long)maxY), new((long)minX, (long)maxY)]);
            yield return new Fixture(footprint, 0, 0, 0, (Distances.Gap + 1) / 2, long.MinValue, long.MaxValue);
        }
    }

    private Region RegionOf(Seat seat)
    {
        if (regions.TryGetValue(seat, out var region)) return region;
        region = new Region();
        region.KeepInside(Problem.Furniture.Shelves[seat.Kind].Footprint, seat.X, seat.Y, seat.Turn, 0);
        region.KeepInside(Problem.Chamber.Footprint, 0, 0, 0, Problem.Chamber.WallClearance.Micrometres);
        return regions[seat] = region;
    }
}
