using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Series;

/// <summary>How many loads there must be at least.</summary>
internal static class SeriesBound
{
    // Sums of doubles are off by less than this part.
    private const double Rounding = 1e-9;

    /// <summary>The greater of two bounds: by volume, and by ware of which no two lie on one shelf.</summary>
    public static int Of(LoadInstance instance, ItemPool pool, UnplacedReason?[] reasons)
    {
        var ware = pool.All.Where(w => reasons[w.Index] is null).ToList();
        return ware.Count == 0 ? 0 : Math.Max(ByVolume(instance, ware), ByWidth(instance, ware));
    }

    // What stands at one height stands side by side, within the shelves' outline.
    private static int ByVolume(LoadInstance instance, List<Item> ware)
    {
        var height = instance.Lid - (instance.Lowest ?? 0) - instance.Decks.Min(d => d.Thickness);
        var area = instance.Decks.Count == 1 ? instance.Decks[0].Seats.Sum(instance.AreaOf) : Shape.Of(instance.Problem.Chamber.Footprint).Area;
        var volume = ware.Sum(w => w.Shape.Area * w.Piece.Quantity * w.HeightOf(w.MostStacked) / w.MostStacked);
        return Loads(volume, area * height);
    }

    // Each wide copy needs a level to itself: one shelf, and its height. Only where a level is one shelf.
    private static int ByWidth(LoadInstance instance, List<Item> ware)
    {
        if (instance.Decks is not [{ Seats: [var seat] } deck]) return 1;
        var wide = ware.Where(w => w.MostStacked == 1 && IsWide(instance, seat, w)).ToList();
        var shelves = wide.Sum(w => (double)w.Piece.Quantity);
        var height = wide.Sum(w => (double)w.Piece.Quantity * (w.Height + instance.Headroom + deck.Thickness));
        return Math.Max(
            Loads(shelves, instance.Problem.Furniture.Shelves[deck.Kind].Count),
            Loads(height, instance.Lid - (instance.Lowest ?? 0) + instance.Headroom));
    }

    private static bool IsWide(LoadInstance instance, Seat seat, Item item) =>
        2 * item.Shape.Area > instance.AreaOf(seat)
        || (item.Shape.IsDisc && instance.Problem.Furniture.Shelves[seat.Kind].Footprint is Pieces.Footprint.Circle shelf
            && 4 * item.Shape.Bound > shelf.Diameter.Micrometres);

    private static int Loads(double asked, double each) => Math.Max(1, (int)Math.Ceiling((asked / each) - Rounding));
}
