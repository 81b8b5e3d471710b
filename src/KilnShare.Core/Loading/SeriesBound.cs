namespace KilnShare.Core.Loading;

/// <summary>How many loads there must be at least.</summary>
internal static class SeriesBound
{
    // Sums of doubles are off by less than this part.
    private const double Rounding = 1e-9;

    /// <summary>The greater of two bounds: by volume, and by ware of which no two lie on one shelf.</summary>
    public static int Of(Setting setting, LotPool pool, UnplacedReason?[] reasons)
    {
        var ware = pool.All.Where(w => reasons[w.Index] is null).ToList();
        return ware.Count == 0 ? 0 : Math.Max(ByVolume(setting, ware), ByWidth(setting, ware));
    }

    // Whatever stands at one height lies side by side within the shelves' outline.
    private static int ByVolume(Setting setting, List<Lot> ware)
    {
        var height = setting.Lid - (setting.Lowest ?? 0) - setting.AllDecks.Min(d => d.Thickness);
        var area = setting.AllDecks.Count == 1 ? setting.AllDecks[0].Seats.Sum(setting.AreaOf) : Shape.Of(setting.Problem.Chamber.Footprint).Area;
        var volume = ware.Sum(w => w.Shape.Area * w.Piece.Quantity * w.HeightOf(w.MostStacked) / w.MostStacked);
        return Loads(volume, area * height);
    }

    // Each of these has a level for itself: so many shelves and so much height. Only where levels are one shelf each.
    private static int ByWidth(Setting setting, List<Lot> ware)
    {
        if (setting.AllDecks is not [{ Seats: [var seat] } deck]) return 1;
        var wide = ware.Where(w => w.MostStacked == 1 && IsWide(setting, seat, w)).ToList();
        var shelves = wide.Sum(w => (double)w.Piece.Quantity);
        var height = wide.Sum(w => (double)w.Piece.Quantity * (w.Height + setting.Headroom + deck.Thickness));
        return Math.Max(
            Loads(shelves, setting.Problem.Furniture.Shelves[deck.Kind].Count),
            Loads(height, setting.Lid - (setting.Lowest ?? 0) + setting.Headroom));
    }

    private static bool IsWide(Setting setting, Seat seat, Lot lot) =>
        2 * lot.Shape.Area > setting.AreaOf(seat)
        || (lot.Shape.IsDisc && setting.Problem.Furniture.Shelves[seat.Kind].Footprint is Pieces.Footprint.Circle shelf && 4 * lot.Shape.Bound > shelf.Diameter.Micrometres);

    private static int Loads(double asked, double each) => Math.Max(1, (int)Math.Ceiling((asked / each) - Rounding));
}
