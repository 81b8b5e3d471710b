using KilnShare.Core.Common;
using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Finishing;

/// <summary>Writes the search's plan down as the plan that is answered.</summary>
internal static class PlanWriting
{
    public static LoadPlan Write(LoadInstance instance, PartialPlan plan, PlanEnd end)
    {
        var levels = plan.Levels;
        var elevation = Elevations.Of(instance, plan) ?? throw new InvalidOperationException("The levels do not go into the chamber.");
        var copies = new CopyNumbers(instance.Problem, levels.SelectMany(l => l.Trays).Concat(plan.Kept?.Trays ?? []).SelectMany(t => t.PlacedItems));
        var shelves = new List<PlacedShelf>();
        for (var s = 0; s < (plan.Kept?.Trays.Count ?? 0); s++)
            shelves.Add(ShelfOf(instance, s, plan.Kept!.Seats[s], plan.Kept.Trays[s], plan.Kept.Shelves[s].Top.Micrometres, copies));
        var firstIndex = new int[levels.Count];
        for (var i = 0; i < levels.Count; i++)
        {
            firstIndex[i] = shelves.Count;
            var top = elevation.Undersides[i] + levels[i].Deck.Thickness;
            for (var s = 0; s < levels[i].Trays.Count; s++)
            {
                var seat = s < levels[i].Deck.Seats.Count ? levels[i].Deck.Seats[s] : levels[i].Halves[s - levels[i].Deck.Seats.Count].Seat;
                shelves.Add(ShelfOf(instance, shelves.Count, seat, levels[i].Trays[s], top + levels[i].OffsetOf(s), copies));
            }
        }

        var posts = PostsOf(instance, plan, elevation, firstIndex);
        if (levels.Count > 0 && instance.HasPosts) AddHalfPosts(levels[^1], elevation, firstIndex[^1], posts);
        return Ordered(instance, shelves, posts, end);
    }

    // Shelves are numbered by height; the two sides of half levels are still one after the other here.
    private static LoadPlan Ordered(LoadInstance instance, List<PlacedShelf> shelves, List<PlacedPost> posts, PlanEnd end)
    {
        var order = shelves.OrderBy(s => s.Top).Select(s => s.Index).ToList();
        var place = order.Select((old, at) => (old, at)).ToDictionary(x => x.old, x => x.at);
        return PlanFigures.Complete(
            instance.Problem,
            [.. order.Select((old, at) => shelves[old] with { Index = at })],
            [.. posts.OrderBy(p => p.From)
                .Select(p => p with { StandsOn = p.StandsOn is { } on ? place[on] : null, Carries = [.. p.Carries.Select(c => place[c])] })],
            end);
    }

    private static void AddHalfPosts(Level level, Elevation elevation, int baseIndex, List<PlacedPost> posts)
    {
        var deckTop = elevation.Undersides[^1] + level.Deck.Thickness;
        for (var h = 0; h < level.Halves.Count; h++)
        {
            var half = level.Halves[h];
            var standsOn = half.StandsOn is { } below ? baseIndex + level.Deck.Seats.Count + below : baseIndex;
            for (var p = 0; p < half.Axes.Length; p++)
            {
                posts.Add(new PlacedPost(
                    new Length(half.Axes[p].X), new Length(half.Axes[p].Y), new Length(deckTop + half.From), new Length(deckTop + half.Underside),
                    [.. elevation.HalfPosts[h][p].Select(x => new Length(x))], standsOn, [baseIndex + level.Deck.Seats.Count + h]));
            }
        }
    }

    private static PlacedShelf ShelfOf(LoadInstance instance, int index, Seat seat, Tray tray, long top, CopyNumbers copies)
    {
        var placements = tray.PlacedItems.Select(s => new Placement(
            s.Item.Piece.Id, copies.Next(s), new Length(s.X), new Length(s.Y), s.Turn, false)).ToList();
        var id = instance.Problem.Furniture.Shelves[seat.Kind].Id;
        return new PlacedShelf(index, id, new Length(seat.X), new Length(seat.Y), seat.Turn, new Length(top), Length.Zero, 0, placements);
    }

    private static List<PlacedPost> PostsOf(LoadInstance instance, PartialPlan plan, Elevation elevation, int[] firstIndex)
    {
        var posts = new List<PlacedPost>();
        if (!instance.HasPosts) return posts;
        posts.AddRange(plan.Kept?.Posts ?? []);
        var axes = Elevations.Axes(plan.Layout, plan.Levels);
        for (var i = plan.Levels.Count > 0 && elevation.Undersides[0] == 0 ? 1 : 0; i < plan.Levels.Count; i++)
        {
            var from = i == 0 ? plan.Kept?.ShelfTop ?? 0 : elevation.Undersides[i - 1] + plan.Levels[i - 1].Deck.Thickness;
            for (var p = 0; p < axes[i].Count; p++)
            {
                var axis = axes[i][p];
                int? standsOn = i == 0 ? plan.Kept?.TopShelfUnder(axis) : firstIndex[i - 1] + SeatUnder(plan.Levels[i - 1].Deck, axis);
                posts.Add(new PlacedPost(
                    new Length(axis.X), new Length(axis.Y), new Length(from), new Length(elevation.Undersides[i]),
                    [.. elevation.Posts[i][p].Select(h => new Length(h))], standsOn,
                    [.. SeatsOver(instance, plan.Levels[i].Deck, axis).Select(s => firstIndex[i] + s)]));
            }
        }

        return posts;
    }

    // A post on the line where two shelves meet carries both.
    private static IReadOnlyList<int> SeatsOver(LoadInstance instance, Deck deck, Axis axis)
    {
        List<int> over = [.. Enumerable.Range(0, deck.Seats.Count)
            .Where(s => Exact.PointInside(axis.X, axis.Y, deck.Seats[s].Shape, instance.Problem.Furniture.PostInset.Micrometres))];
        return over.Count > 0 ? over : [SeatUnder(deck, axis)];
    }

    private static int SeatUnder(Deck deck, Axis axis)
    {
        for (var s = 0; s < deck.Seats.Count; s++)
        {
            if (Exact.PointInside(axis.X, axis.Y, deck.Seats[s].Shape, 0)) return s;
        }

        throw new InvalidOperationException("A post stands on no shelf.");
    }
}

/// <summary>Gives copies their numbers: a copy that stands where it stood in the start plan keeps its number, the others follow in order.</summary>
internal sealed class CopyNumbers
{
    private readonly Queue<int>[] free;

    public CopyNumbers(LoadProblem problem, IEnumerable<PlacedItem> placedItems)
    {
        var kept = placedItems.GroupBy(s => s.Item.Index).ToDictionary(g => g.Key, g => g.SelectMany(s => s.Were.Take(s.Count)).ToHashSet());
        free = [.. problem.Pieces.Select((p, i) => new Queue<int>(Enumerable.Range(0, p.Quantity).Where(c => !kept.GetValueOrDefault(i, []).Contains(c))))];
    }

    public IReadOnlyList<int> Next(PlacedItem placedItem)
    {
        var copies = placedItem.Were.Take(placedItem.Count).ToList();
        while (copies.Count < placedItem.Count) copies.Add(free[placedItem.Item.Index].Dequeue());
        return copies;
    }
}
