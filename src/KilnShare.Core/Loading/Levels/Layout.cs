using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Levels;

/// <summary>Decks that may be stacked on each other in any order, and where the posts under each stand.</summary>
/// <param name="Decks">The decks, the one to be used first in front.</param>
/// <param name="Axes">Axes of the posts under each deck; empty where posts take no room.</param>
internal sealed record Layout(IReadOnlyList<Deck> Decks, IReadOnlyList<Axis[]> Axes)
{
    public Axis[] AxesOf(Deck deck) => Axes[Decks.ToList().IndexOf(deck)];
}

/// <summary>Finds which decks go together, and the places of their posts.</summary>
internal static class LayoutChoice
{
    public static List<Layout> Of(LoadInstance instance)
    {
        var decks = instance.Decks.ToList();
        if (!instance.HasPosts) return decks.Count == 0 ? [] : [new Layout(decks, [.. decks.Select(_ => Array.Empty<Axis>())])];
        var whole = decks.Where(d => d.Seats.Count == 1).ToList();
        var split = decks.Where(d => d.Seats.Count > 1).ToList();
        var layouts = new List<Layout>();
        if (whole.Count > 0) layouts.AddRange(OfWhole(instance, whole));
        foreach (var deck in split)
        {
            if (Mixed(instance, whole, deck) is { } mixed) layouts.Add(mixed);
        }

        return layouts;
    }

    // All kinds together where the same three posts suit them all; else each kind by itself.
    private static IEnumerable<Layout> OfWhole(LoadInstance instance, List<Deck> whole)
    {
        if (AxesUnder(instance, whole.ConvertAll(d => d.Seats[0]), instance.PostMayStand) is { } axes) return [new Layout(whole, [.. whole.Select(_ => axes)])];
        return whole.Select(d => (Deck: d, Axes: AxesUnder(instance, d.Seats, instance.PostMayStand)))
            .Where(x => x.Axes is not null).Select(x => new Layout([x.Deck], [x.Axes!]));
    }

    // Posts under each of the shelves side by side; a whole shelf stands on three of the same.
    private static Layout? Mixed(LoadInstance instance, List<Deck> whole, Deck split)
    {
        var under = new List<Axis>();
        var inset = instance.Problem.Furniture.PostInset.Micrometres;
        foreach (var seat in split.Seats)
        {
            bool IsFree(Axis a) => instance.PostMayStand(a)
                && under.TrueForAll(b => Exact.Apart(instance.PostAt(a), instance.PostAt(b), instance.Distances.Margin));
            // If possible, a post also stands far enough inside the whole shelves that it may come to carry.
            bool SuitsWhole(Axis a) => IsFree(a) && whole.TrueForAll(d => Exact.PointInside(a.X, a.Y, d.Seats[0].Shape, inset));
            // And, if possible, it stands clear of the other shelves, so that each can lie at a height of its own.
            bool SuitsBoth(Axis a) => SuitsWhole(a) && instance.StandsBeside(a, seat, split);
            if ((AxesUnder(instance, [seat], SuitsBoth) ?? AxesUnder(instance, [seat], SuitsWhole) ?? AxesUnder(instance, [seat], IsFree))
                is not { } axes) return null;
            under.AddRange(axes);
        }

        var (decks, all) = (new List<Deck>(), new List<Axis[]>());
        foreach (var deck in whole)
        {
            if (PostPlaces.ChooseAmong(Outlines(instance, deck.Seats), under, inset, instance.PostsApart) is not { } three
                || !CarriesAll(deck, under)) continue;
            decks.Add(deck);
            all.Add(three);
        }

        decks.Add(split);
        all.Add([.. under]);
        return new Layout(decks, all);
    }

    /// <summary>Decks that can stand on posts already chosen, such as those under shelves that stay; null when none can.</summary>
    public static Layout? Upon(LoadInstance instance, IReadOnlyList<Axis> axes)
    {
        var (decks, all) = (new List<Deck>(), new List<Axis[]>());
        foreach (var deck in instance.Decks)
        {
            var under = deck.Seats.Select(
                s => PostPlaces.ChooseAmong(Outlines(instance, [s]), axes, instance.Problem.Furniture.PostInset.Micrometres, instance.PostsApart)).ToList();
            if (instance.HasPosts && under.Contains(null)) continue;
            Axis[] own = instance.HasPosts ? [.. under.SelectMany(a => a!)] : [];
            // Decks may lie in any order, and each post needs a shelf under it on every deck below.
            if (!CarriesAll(deck, all.SelectMany(a => a)) || !decks.TrueForAll(d => CarriesAll(d, own))) continue;
            decks.Add(deck);
            all.Add(own);
        }

        return decks.Count == 0 ? null : new Layout(decks, all);
    }

    // True when each of the posts would stand on one of the deck's shelves.
    private static bool CarriesAll(Deck deck, IEnumerable<Axis> axes) =>
        axes.All(a => deck.Seats.Any(s => Exact.PointInside(a.X, a.Y, s.Shape, 0)));

    private static Axis[]? AxesUnder(LoadInstance instance, IReadOnlyList<Seat> seats, Func<Axis, bool> isFree) =>
        PostPlaces.Choose(Outlines(instance, seats), isFree, instance.Problem.Furniture.PostInset.Micrometres, instance.PostsApart);

    private static List<(Pieces.Footprint Footprint, Seat Seat)> Outlines(LoadInstance instance, IReadOnlyList<Seat> seats) =>
        [.. seats.Select(s => (instance.Problem.Furniture.Shelves[s.Kind].Footprint, s))];
}
