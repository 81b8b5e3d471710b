namespace KilnShare.Core.Loading;

/// <summary>A start plan of which nothing must stay, as levels that the search may change like its own.</summary>
internal static class StartPile
{
    /// <summary>The start plan's levels; null where they are not such as the search builds, with staggered halves for instance.</summary>
    public static Pile? Of(Setting setting, LoadPlan start, LotPool pool)
    {
        foreach (var design in setting.Designs)
        {
            var pile = new Pile(design, [], pool.Copy());
            if (LevelsOf(setting, start, pile) && Elevations.Of(setting, pile) is not null) return pile;
        }

        return null;
    }

    private static bool LevelsOf(Setting setting, LoadPlan start, Pile pile)
    {
        var lots = pile.Pool.All.ToDictionary(w => w.Piece.Id, StringComparer.Ordinal);
        var levels = start.Shelves.GroupBy(s => s.Top.Micrometres).OrderBy(g => g.Key).Select(g => (Top: g.Key, Shelves: g.ToList())).ToList();
        for (var i = 0; i < levels.Count; i++)
        {
            var (top, shelves) = levels[i];
            if (pile.Design.Decks.FirstOrDefault(d => Lie(setting, d, shelves)) is not { } deck) return false;
            var carries = i + 1 < levels.Count;
            var room = carries ? levels[i + 1].Top - Thickness(setting, levels[i + 1].Shelves[0]) - top - setting.Headroom : setting.Lid - top;
            var trays = deck.Seats.Select(s => new Tray(setting.RoomOf(s, carries ? Building.PostsAbove(pile.Design) : [], top, room, deck.Seats), setting.Distances)).ToList();
            for (var t = 0; t < trays.Count; t++)
            {
                if (!Stand(trays[t], shelves.First(s => At(s, deck.Seats[t])).Placements, lots, pile.Pool)) return false;
            }

            pile.Levels.Add(new Level(deck, trays, carries) { Origin = i });
        }

        return true;
    }

    private static bool Stand(Tray tray, IReadOnlyList<Placement> placements, Dictionary<string, Lot> lots, LotPool pool)
    {
        foreach (var p in placements)
        {
            var standing = new Standing(lots[p.PieceId], p.Copies.Count, p.X.Micrometres, p.Y.Micrometres, p.RotationThousandths, were: p.Copies);
            if (!tray.Allows(standing)) return false;
            tray.Add(standing);
            pool.Waiting[standing.Lot.Index] -= standing.Count;
        }

        return true;
    }

    private static bool Lie(Setting setting, Deck deck, List<PlacedShelf> shelves) =>
        shelves.Count == deck.Seats.Count
        && string.Equals(setting.Problem.Furniture.Shelves[deck.Kind].Id, shelves[0].ShelfId, StringComparison.Ordinal)
        && deck.Seats.All(seat => shelves.Any(s => At(s, seat)));

    private static bool At(PlacedShelf shelf, Seat seat) => shelf.X.Micrometres == seat.X && shelf.Y.Micrometres == seat.Y && shelf.RotationThousandths == seat.Turn;

    private static long Thickness(Setting setting, PlacedShelf shelf) =>
        setting.Problem.Furniture.Shelves.First(s => string.Equals(s.Id, shelf.ShelfId, StringComparison.Ordinal)).Thickness.Micrometres;
}
