using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Series;

/// <summary>
/// What part of a load one copy takes: a part of a shelf, by how many of its kind fit on one, times a part of the height. A wide plate takes much
/// more than its volume, since the room around it is of little use. By volume alone such ware is left for the last loads, which then hold little.
/// </summary>
internal static class SeriesDemand
{


    /// <summary>The demand of one copy, by piece; 1 is a whole load.</summary>
    public static double[] Of(LoadInstance instance, LoadOptions options, ItemPool pool)
    {
        var none = new SearchBudget(Common.WorkBudget.OfIterations(0, CancellationToken.None));
        var insertion = new Insertion(instance.Distances, new SearchContext(options, none, new SeededRandom(options.Seed)));
        var deck = instance.Decks.OrderByDescending(d => d.Seats.Sum(instance.AreaOf)).FirstOrDefault();
        if (deck is null) return [.. pool.All.Select(_ => 0.0)];
        var known = new Dictionary<(Pieces.Footprint, bool), double>();
        return [.. pool.All.Select(w => Part(w) * (w.HeightOf(w.MostStacked) + instance.Headroom + deck.Thickness) / instance.Lid / w.MostStacked)];

        double Part(Item item)
        {
            var key = (item.Piece.Footprint, item.Piece.MayTurn);
            return known.TryGetValue(key, out var part) ? part : known[key] = 1 / OnDeck(instance, insertion, deck, item);
        }
    }

    private static double OnDeck(LoadInstance instance, Insertion insertion, Deck deck, Item item)
    {
        double all = 0;
        foreach (var seat in deck.Seats)
        {
            var tray = new Tray(instance.SpaceOf(seat, [], 0, LoadLimits.MaxLengthMicrometres, deck.Seats), instance.Distances);
            var count = 0;
            while (count < SeriesTuning.MostCounted && insertion.TryPlace(tray, item, null)) count++;
            all += count < SeriesTuning.MostCounted ? count : Math.Max(count, LevelTuning.UsableArea * instance.AreaOf(seat) / item.Shape.Area);
        }

        return Math.Max(all, SeriesTuning.LeastOnDeck);
    }
}
