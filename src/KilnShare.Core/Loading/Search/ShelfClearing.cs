using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Search;

/// <summary>Which placed items stand together somewhere on a shelf, and taking them off.</summary>
internal static class ShelfClearing
{
    /// <summary>What may move, the nearest to one of them first.</summary>
    public static List<int> NearOnePlace(Tray tray, SeededRandom random)
    {
        List<int> movable = [.. Enumerable.Range(0, tray.PlacedItems.Count).Where(i => tray.PlacedItems[i].Kept.Count == 0)];
        if (movable.Count == 0) return movable;
        var middle = tray.PlacedItems[movable[random.Below(movable.Count)]];
        return [.. movable.OrderBy(i => Plane.Distance(tray.PlacedItems[i].CentreX, tray.PlacedItems[i].CentreY, middle.CentreX, middle.CentreY))];
    }

    /// <summary>So much of what stands near one place that so much area becomes free, µm².</summary>
    public static List<int> OfArea(Tray tray, double area, SeededRandom random)
    {
        var taken = new List<int>();
        foreach (var i in NearOnePlace(tray, random))
        {
            if (area <= 0) break;
            taken.Add(i);
            area -= tray.PlacedItems[i].Item.Shape.Area;
        }

        return taken;
    }

    /// <summary>Takes items off a shelf; they wait again.</summary>
    public static void TakeOff(Tray tray, List<int> taken, ItemPool pool)
    {
        foreach (var i in taken.OrderDescending())
        {
            pool.Waiting[tray.PlacedItems[i].Item.Index] += tray.PlacedItems[i].Count;
            tray.RemoveAt(i);
        }
    }
}
