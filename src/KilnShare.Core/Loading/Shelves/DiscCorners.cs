using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Kernel;

namespace KilnShare.Core.Loading.Shelves;

/// <summary>
/// Corner places for one size of disc among what stands on a shelf: where it touches two things at once
/// (Huang, Li, Akeb and Li 2005, maximum hole degree; here the place nearest the edge is taken).
/// They are kept while discs are added, so that each costs only what is near it.
/// </summary>
internal sealed class DiscCorners
{

    private readonly Tray tray;
    private readonly Item item;
    private readonly Distances distances;
    private readonly int revision;
    private readonly (double X, double Y) middle;
    private readonly List<ContactCurve> edges = [];
    private readonly CurveGrid near;
    private readonly List<(double X, double Y)> places = [];
    private readonly List<ContactCurve> around = [];
    private readonly List<ContactCurve> beside = [];
    private readonly bool inward;
    private int seen;

    private DiscCorners(Tray tray, Item item, Distances distances)
    {
        (this.tray, this.item, this.distances, revision) = (tray, item, distances, tray.Revision);
        var (minX, maxX, minY, maxY) = tray.Space.Region.Box;
        middle = ((minX + maxX) / 2, (minY + maxY) / 2);
        Largest = Math.Max(item.Shape.Bound, tray.PlacedItems.Select(s => s.Item.Shape.Bound).DefaultIfEmpty(0).Max());
        near = new CurveGrid(tray.Space.Region.Box, Largest + item.Shape.Bound + distances.Gap + distances.SearchMargin);
        AddEdges();
        var fitting = tray.Space.Area / item.Shape.Area;
        inward = fitting > ShelfTuning.ManyDiscs && item.Piece.Quantity > ShelfTuning.FullOfOneKind * fitting && tray.PlacedItems.All(s => s.Item == item);
        if (inward && tray.PlacedItems.Count == 0) places.Add(middle);
        for (var i = 0; i < edges.Count; i++)
        {
            for (var j = i; j < edges.Count; j++) Offer(edges[i], edges[j]);
        }
    }

    private double Largest { get; }

    /// <summary>The best free corner place for the ware; null when there is none.</summary>
    public static PlacedItem? Find(Tray tray, Item item, Distances distances, SeededRandom random)
    {
        if (tray.DiscCorners is not { } nooks || !nooks.Serves(item)) tray.DiscCorners = nooks = new DiscCorners(tray, item, distances);
        return nooks.Best(nooks.inward ? 3 : random.Below(3));
    }

    /// <summary>True where only discs stand on the shelf: then a disc that finds no corner place fits nowhere.</summary>
    public static bool TellAll(Tray tray) =>
        tray.Space.Region.Obstacles.All(o => o.Shape.IsDisc) && tray.PlacedItems.All(s => s.Item.Shape.IsDisc);

    private bool Serves(Item other)
    {
        if (other != item || revision != tray.Revision) return false;
        for (var i = seen; i < tray.PlacedItems.Count; i++)
        {
            if (tray.PlacedItems[i].Item.Shape.Bound > Largest) return false;
        }

        return true;
    }

    private PlacedItem? Best(int tilt)
    {
        for (; seen < tray.PlacedItems.Count; seen++) TakeIn(tray.PlacedItems[seen]);
        while (places.Count > 0)
        {
            var (best, bestScore) = (0, double.NegativeInfinity);
            for (var i = 0; i < places.Count; i++)
            {
                var (x, y) = places[i];
                var score = tilt switch { 0 => Plane.Distance(x, y, middle.X, middle.Y), 3 => -Plane.Distance(x, y, middle.X, middle.Y), 1 => -y, _ => -x };
                if (score > bestScore) (best, bestScore) = (i, score);
            }

            var placedItem = PlacedItem.At(item, 1, places[best].X, places[best].Y, 0);
            if (tray.Allows(placedItem)) return placedItem;
            places[best] = places[^1];
            places.RemoveAt(places.Count - 1);
        }

        return null;
    }

    private void AddEdges()
    {
        var (radius, margin, region) = (item.Shape.Bound, distances.SearchMargin, tray.Space.Region);
        foreach (var (x, y, r) in region.Discs) edges.Add(ContactCurve.Within(x, y, r - radius - margin));
        foreach (var (nx, ny, limit) in region.Planes) edges.Add(ContactCurve.Line(nx, ny, limit - radius - margin));
        foreach (var o in region.Obstacles)
        {
            if (o.To <= tray.Space.ShelfTop || o.From >= tray.Space.ShelfTop + item.Height) continue;
            if (o.Shape.IsDisc) edges.Add(ContactCurve.Beyond(o.X, o.Y, o.Shape.Bound + radius + o.Clearance + margin));
        }
    }

    // Only discs make corner places. Whether other items are in the way is seen when a place is taken.
    private void TakeIn(PlacedItem placedItem)
    {
        if (!placedItem.Item.Shape.IsDisc) return;
        var gap = placedItem.Item.Piece.Touch && item.Piece.Touch ? 0 : distances.Gap;
        var curve = ContactCurve.Beyond(placedItem.CentreX, placedItem.CentreY, placedItem.Item.Shape.Bound + item.Shape.Bound + gap + distances.SearchMargin);
        places.RemoveAll(p => !curve.Allows(p.X, p.Y));
        foreach (var edge in edges) Offer(curve, edge);
        foreach (var other in near.About(curve.X, curve.Y, 2, around)) Offer(curve, other);
        near.Add(curve);
        // The second disc of a lattice touches only the first; from then on each touches two.
        if (inward && tray.PlacedItems.Count == 1) places.Add((curve.X, curve.Y - curve.R));
    }

    private void Offer(in ContactCurve a, in ContactCurve b)
    {
        Span<(double X, double Y)> points = stackalloc (double, double)[2];
        var found = ContactCurve.Meet(a, b, points);
        for (var k = 0; k < found; k++)
        {
            if (IsFree(points[k].X, points[k].Y)) places.Add(points[k]);
        }
    }

    private bool IsFree(double x, double y)
    {
        foreach (var edge in edges)
        {
            if (!edge.Allows(x, y)) return false;
        }

        foreach (var curve in near.About(x, y, 1, beside))
        {
            if (!curve.Allows(x, y)) return false;
        }

        return true;
    }
}
