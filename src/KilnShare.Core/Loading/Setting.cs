using KilnShare.Core.Common;
using KilnShare.Core.Kilns;

namespace KilnShare.Core.Loading;

/// <summary>Decks that may be stacked on each other in any order, and where the posts under each stand.</summary>
/// <param name="Decks">The decks, the one to be used first in front.</param>
/// <param name="Axes">Axes of the posts under each deck; empty where posts take no room.</param>
internal sealed record Design(IReadOnlyList<Deck> Decks, IReadOnlyList<Axis[]> Axes)
{
    public Axis[] AxesOf(Deck deck) => Axes[Decks.ToList().IndexOf(deck)];
}

/// <summary>The problem prepared for the search: what does not change while it runs.</summary>
internal sealed record Setting
{
    // Beyond anything that a chamber may measure, µm.
    private const double Outside = LoadLimits.MaxLengthMicrometres;
    private readonly Dictionary<Seat, Region> regions = [];
    private readonly (PlacedShape Exact, KeepOut KeepOut)[] keepOuts;

    public Setting(LoadProblem problem, LoadOptions options, LoadPlan? kept = null)
    {
        Problem = problem;
        Distances = new Distances(problem.Spacing.Gap.Micrometres, options.MarginMicrometres);
        Chamber = PlacedShape.Of(problem.Chamber.Footprint, 0, 0, 0);
        FromStock = problem.Furniture.PostHeights == PostHeights.Stock;
        HasPosts = FromStock || problem.Furniture.PostDiameter.Micrometres > 0;
        Stock = new PostSupply(problem.Furniture, kept?.Posts ?? []);
        keepOuts = [.. problem.KeepOuts.Select(k => (PlacedShape.Of(k.Footprint, k.At.X, k.At.Y, 0), k))];
        Lid = problem.Chamber.Height.Micrometres - Math.Max(problem.Chamber.LidClearance.Micrometres, problem.Spacing.Headroom.Micrometres);
        MostlyBoxes = problem.Pieces.Count(p => p.Footprint is Pieces.Footprint.Rectangle) > 0.8 * problem.Pieces.Count;
        AllDecks = Decks.Of(problem, options.MarginMicrometres);
        Designs = DesignChoice.Of(this);
    }

    public LoadProblem Problem { get; }

    public Distances Distances { get; }

    public PlacedShape Chamber { get; }

    /// <summary>True when most pieces are rectangles, which are better fitted together than pushed about.</summary>
    public bool MostlyBoxes { get; }

    /// <summary>The same under a lower lid.</summary>
    public Setting Below(long top) => this with { Lid = top };

    public bool FromStock { get; }

    /// <summary>False where posts take no room and are not listed.</summary>
    public bool HasPosts { get; }

    public PostSupply Stock { get; }

    /// <summary>No ware above this, µm over the floor.</summary>
    public long Lid { get; private init; }

    public long Headroom => Problem.Spacing.Headroom.Micrometres;

    public bool HasKeepOuts => keepOuts.Length > 0;

    public IReadOnlyList<Deck> AllDecks { get; }

    public IReadOnlyList<Design> Designs { get; }

    /// <summary>Underside of the lowest shelf, µm over the floor; null when no post is long enough.</summary>
    public long? Lowest => FromStock ? Stock.AtLeast(LoadLimits.LowestPostMicrometres) : 0;

    /// <summary>True when the lot wishes to stand hotter or cooler than a shelf there fires.</summary>
    public bool IsUnmet(Lot lot, long floor) => lot.Wish is not null && Problem.IsUnmet(lot.Piece, new Length(floor));

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
    public bool MayStand(Standing standing, long floor) => IsClear(standing.Exact, floor, floor + standing.Height, Distances.Gap);

    /// <summary>The lowest height from there on at which a shelf lies in no keep-out; null when there is none.</summary>
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

    /// <summary>Where ware may stand on a seat, with posts on it and so much height.</summary>
    public TrayRoom RoomOf(Seat seat, IReadOnlyList<Axis> postsOnIt, long floor, long room, IReadOnlyList<Seat>? neighbours = null)
    {
        var things = new List<Thing>();
        foreach (var keepOut in Problem.KeepOuts)
        {
            var (from, to) = (keepOut.From.Micrometres, keepOut.To.Micrometres);
            if (to > floor && from < floor + room) things.Add(new Thing(keepOut.Footprint, keepOut.At.X, keepOut.At.Y, 0, Distances.Gap, from, to));
        }

        things.AddRange(BeyondNeighbours(seat, neighbours ?? []));
        var bare = new TrayRoom(RegionOf(seat), seat.Shape, Chamber, Problem.Chamber.WallClearance.Micrometres, [], floor, room) { Area = AreaOf(seat) };
        return WithPosts(With(bare, things), postsOnIt);
    }

    /// <summary>The room with posts standing on the shelf.</summary>
    public TrayRoom WithPosts(TrayRoom room, IReadOnlyList<Axis> posts)
    {
        var footprint = new Pieces.Footprint.Circle(Problem.Furniture.PostDiameter);
        return With(room, [.. (HasPosts ? posts : []).Select(a => new Thing(footprint, a.X, a.Y, 0, Distances.Gap, long.MinValue, long.MaxValue))]);
    }

    /// <summary>The room with more in it that ware keeps from.</summary>
    public static TrayRoom With(TrayRoom room, IReadOnlyList<Thing> things) => room with
    {
        Region = room.Region.With(things.Select(t => t.AsObstacle())),
        Barriers = [.. room.Barriers, .. things.Select(t => t.AsBarrier())],
    };

    public double AreaOf(Seat seat) => Shape.Of(Problem.Furniture.Shelves[seat.Kind].Footprint).Area;

    // Shelves side by side lie nearer than ware may: ware on each keeps half the gap from the line halfway between them.
    private IEnumerable<Thing> BeyondNeighbours(Seat seat, IReadOnlyList<Seat> neighbours)
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
            yield return new Thing(footprint, 0, 0, 0, (Distances.Gap + 1) / 2, long.MinValue, long.MaxValue);
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

/// <summary>Finds which decks go together, and the places of their posts.</summary>
internal static class DesignChoice
{
    public static List<Design> Of(Setting setting)
    {
        var decks = setting.AllDecks.ToList();
        if (!setting.HasPosts) return decks.Count == 0 ? [] : [new Design(decks, [.. decks.Select(_ => Array.Empty<Axis>())])];
        var whole = decks.Where(d => d.Seats.Count == 1).ToList();
        var split = decks.Where(d => d.Seats.Count > 1).ToList();
        var designs = new List<Design>();
        if (whole.Count > 0) designs.AddRange(OfWhole(setting, whole));
        foreach (var deck in split)
        {
            if (Mixed(setting, whole, deck) is { } mixed) designs.Add(mixed);
        }

        return designs;
    }

    // All kinds together where one choice of posts suits them; else each kind alone.
    private static IEnumerable<Design> OfWhole(Setting setting, List<Deck> whole)
    {
        if (AxesUnder(setting, whole.ConvertAll(d => d.Seats[0]), setting.PostMayStand) is { } axes) return [new Design(whole, [.. whole.Select(_ => axes)])];
        return whole.Select(d => (Deck: d, Axes: AxesUnder(setting, d.Seats, setting.PostMayStand)))
            .Where(x => x.Axes is not null).Select(x => new Design([x.Deck], [x.Axes!]));
    }

    // Posts under each of the shelves side by side; a whole shelf stands on three of the same.
    private static Design? Mixed(Setting setting, List<Deck> whole, Deck split)
    {
        var under = new List<Axis>();
        var inset = setting.Problem.Furniture.PostInset.Micrometres;
        foreach (var seat in split.Seats)
        {
            bool IsFree(Axis a) => setting.PostMayStand(a)
                && under.TrueForAll(b => Exact.Apart(setting.PostAt(a), setting.PostAt(b), setting.Distances.Margin));
            // Where it can be, a post is also as far inside the whole shelves that it may stand under.
            bool SuitsWhole(Axis a) => IsFree(a) && whole.TrueForAll(d => Exact.PointInside(a.X, a.Y, d.Seats[0].Shape, inset));
            // And beside the other shelves rather than under two, so that each can lie at a height of its own.
            bool SuitsBoth(Axis a) => SuitsWhole(a) && setting.StandsBeside(a, seat, split);
            if ((AxesUnder(setting, [seat], SuitsBoth) ?? AxesUnder(setting, [seat], SuitsWhole) ?? AxesUnder(setting, [seat], IsFree)) is not { } axes) return null;
            under.AddRange(axes);
        }

        var (decks, all) = (new List<Deck>(), new List<Axis[]>());
        foreach (var deck in whole)
        {
            if (PostPlaces.ChooseAmong(Outlines(setting, deck.Seats), under, inset, setting.PostsApart) is not { } three || !CarriesAll(deck, under)) continue;
            decks.Add(deck);
            all.Add(three);
        }

        decks.Add(split);
        all.Add([.. under]);
        return new Design(decks, all);
    }

    /// <summary>Decks that can stand on posts already chosen, such as those under shelves that stay; null when none can.</summary>
    public static Design? Upon(Setting setting, IReadOnlyList<Axis> axes)
    {
        var (decks, all) = (new List<Deck>(), new List<Axis[]>());
        foreach (var deck in setting.AllDecks)
        {
            var under = deck.Seats.Select(s => PostPlaces.ChooseAmong(Outlines(setting, [s]), axes, setting.Problem.Furniture.PostInset.Micrometres, setting.PostsApart)).ToList();
            if (setting.HasPosts && under.Contains(null)) continue;
            Axis[] own = setting.HasPosts ? [.. under.SelectMany(a => a!)] : [];
            // Decks may come to lie in any order, and the posts under one run down through the others.
            if (!CarriesAll(deck, all.SelectMany(a => a)) || !decks.TrueForAll(d => CarriesAll(d, own))) continue;
            decks.Add(deck);
            all.Add(own);
        }

        return decks.Count == 0 ? null : new Design(decks, all);
    }

    // True when each of the posts would stand on one of the deck's shelves.
    private static bool CarriesAll(Deck deck, IEnumerable<Axis> axes) =>
        axes.All(a => deck.Seats.Any(s => Exact.PointInside(a.X, a.Y, s.Shape, 0)));

    private static Axis[]? AxesUnder(Setting setting, IReadOnlyList<Seat> seats, Func<Axis, bool> isFree) =>
        PostPlaces.Choose(Outlines(setting, seats), isFree, setting.Problem.Furniture.PostInset.Micrometres, setting.PostsApart);

    private static List<(Pieces.Footprint Footprint, Seat Seat)> Outlines(Setting setting, IReadOnlyList<Seat> seats) =>
        [.. seats.Select(s => (setting.Problem.Furniture.Shelves[s.Kind].Footprint, s))];
}
