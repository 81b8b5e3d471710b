namespace KilnShare.Core.Loading;

/// <summary>
/// What one copy asks of a load, 1 being all of it: of a shelf, by how many alike lie on one, and of the height. A wide plate asks much more than
/// its volume, since the room around it is of little use; where volume alone counts, such ware is left for the last loads, which then hold little.
/// </summary>
internal static class SeriesDemand
{
    // Where more lie on a shelf than this, area tells well enough how many.
    private const int MostCounted = 8;

    // Of ware that none was found room for on the largest shelves: it lies on others, if anywhere, and asks for twice as much as what lies there alone.
    private const double LeastOnDeck = 0.5;

    /// <summary>By piece.</summary>
    public static double[] Of(Setting setting, LoadOptions options, LotPool pool)
    {
        var insertion = new Insertion(setting.Distances, options, new Meter(Common.WorkBudget.OfIterations(0, CancellationToken.None)), new Dice(options.Seed));
        var deck = setting.AllDecks.OrderByDescending(d => d.Seats.Sum(setting.AreaOf)).FirstOrDefault();
        if (deck is null) return [.. pool.All.Select(_ => 0.0)];
        var known = new Dictionary<(Pieces.Footprint, bool), double>();
        return [.. pool.All.Select(w => Part(w) * (w.HeightOf(w.MostStacked) + setting.Headroom + deck.Thickness) / setting.Lid / w.MostStacked)];

        double Part(Lot lot)
        {
            var key = (lot.Piece.Footprint, lot.Piece.MayTurn);
            return known.TryGetValue(key, out var part) ? part : known[key] = 1 / OnDeck(setting, insertion, deck, lot);
        }
    }

    private static double OnDeck(Setting setting, Insertion insertion, Deck deck, Lot lot)
    {
        double all = 0;
        foreach (var seat in deck.Seats)
        {
            var tray = new Tray(setting.RoomOf(seat, [], 0, LoadLimits.MaxLengthMicrometres, deck.Seats), setting.Distances);
            var count = 0;
            while (count < MostCounted && insertion.TryPlace(tray, lot, null)) count++;
            all += count < MostCounted ? count : Math.Max(count, Building.UsableArea * setting.AreaOf(seat) / lot.Shape.Area);
        }

        return Math.Max(all, LeastOnDeck);
    }
}
