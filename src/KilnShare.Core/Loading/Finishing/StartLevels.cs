using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Finishing;

/// <summary>Turns a start plan into what a search begins with.</summary>
internal static class StartLevels
{
    /// <summary>Where nothing is kept: levels that the search may change like its own. Else: shelves that stay where they are.</summary>
    public static PartialPlan Begin(LoadInstance instance, LoadPlan start, ItemPool pool)
    {
        if (instance.Problem.Keep == Keep.None && Of(instance, start, pool) is { } levels) return levels;
        var kept = KeptBase.Of(instance, start, pool);
        return new PartialPlan(new Layout([], []), [], pool, kept);
    }

    /// <summary>The start plan's levels; null where the search would not build such levels, for instance staggered half shelves.</summary>
    public static PartialPlan? Of(LoadInstance instance, LoadPlan start, ItemPool pool)
    {
        foreach (var layout in instance.Layouts)
        {
            var plan = new PartialPlan(layout, [], pool.Copy());
            if (LevelsOf(instance, start, plan) && Elevations.Of(instance, plan) is not null) return plan;
        }

        return null;
    }

    private static bool LevelsOf(LoadInstance instance, LoadPlan start, PartialPlan plan)
    {
        var items = plan.Pool.All.ToDictionary(w => w.Piece.Id, StringComparer.Ordinal);
        var levels = start.Shelves.GroupBy(s => s.Top.Micrometres).OrderBy(g => g.Key).Select(g => (Top: g.Key, Shelves: g.ToList())).ToList();
        for (var i = 0; i < levels.Count; i++)
        {
            var (top, shelves) = levels[i];
            if (plan.Layout.Decks.FirstOrDefault(d => Lie(instance, d, shelves)) is not { } deck) return false;
            var carries = i + 1 < levels.Count;
            var clearHeight = carries ? levels[i + 1].Top - Thickness(instance, levels[i + 1].Shelves[0]) - top - instance.Headroom : instance.Lid - top;
            var trays = deck.Seats.Select(
                s => new Tray(instance.SpaceOf(s, carries ? LevelBuilder.PostsAbove(plan.Layout) : [], top, clearHeight, deck.Seats), instance.Distances))
                .ToList();
            for (var t = 0; t < trays.Count; t++)
            {
                if (!Stand(trays[t], shelves.First(s => At(s, deck.Seats[t])).Placements, items, plan.Pool)) return false;
            }

            plan.Levels.Add(new Level(deck, trays, carries) { Origin = i });
        }

        return true;
    }

    private static bool Stand(Tray tray, IReadOnlyList<Placement> placements, Dictionary<string, Item> items, ItemPool pool)
    {
        foreach (var p in placements)
        {
            var placedItem = new PlacedItem(items[p.PieceId], p.Copies.Count, p.X.Micrometres, p.Y.Micrometres, p.RotationThousandths, were: p.Copies);
            if (!tray.Allows(placedItem)) return false;
            tray.Add(placedItem);
            pool.Waiting[placedItem.Item.Index] -= placedItem.Count;
        }

        return true;
    }

    private static bool Lie(LoadInstance instance, Deck deck, List<PlacedShelf> shelves) =>
        shelves.Count == deck.Seats.Count
        && string.Equals(instance.Problem.Furniture.Shelves[deck.Kind].Id, shelves[0].ShelfId, StringComparison.Ordinal)
        && deck.Seats.All(seat => shelves.Any(s => At(s, seat)));

    private static bool At(PlacedShelf shelf, Seat seat) =>
        shelf.X.Micrometres == seat.X && shelf.Y.Micrometres == seat.Y && shelf.RotationThousandths == seat.Turn;

    private static long Thickness(LoadInstance instance, PlacedShelf shelf) =>
        instance.Problem.Furniture.Shelves.First(s => string.Equals(s.Id, shelf.ShelfId, StringComparison.Ordinal)).Thickness.Micrometres;
}
