namespace KilnShare.Core.Loading;

/// <summary>
/// Corner places for one size of disc among what stands on a shelf: where it touches two things at once
/// (Huang, Li, Akeb and Li 2005, maximum hole degree; here the place nearest the edge is taken).
/// They are kept while discs are added, so that each costs only what is near it.
/// </summary>
internal sealed class Nooks
{
    // Where one size alone would fill a shelf with more than so many, most stand in rows anyhow: they are set about the middle, which makes a lattice.
    private const int Many = 100;

    // One kind would fill the shelf when its copies come to this part of the shelf at least.
    private const double Full = 0.75;
    private readonly Tray tray;
    private readonly Lot lot;
    private readonly Distances distances;
    private readonly int revision;
    private readonly (double X, double Y) middle;
    private readonly List<Curve> edges = [];
    private readonly Buckets near;
    private readonly List<(double X, double Y)> places = [];
    private readonly List<Curve> around = [];
    private readonly List<Curve> beside = [];
    private readonly bool inward;
    private int seen;

    private Nooks(Tray tray, Lot lot, Distances distances)
    {
        (this.tray, this.lot, this.distances, revision) = (tray, lot, distances, tray.Revision);
        var (minX, maxX, minY, maxY) = tray.Room.Region.Box;
        middle = ((minX + maxX) / 2, (minY + maxY) / 2);
        Largest = Math.Max(lot.Shape.Bound, tray.Standings.Select(s => s.Lot.Shape.Bound).DefaultIfEmpty(0).Max());
        near = new Buckets(tray.Room.Region.Box, Largest + lot.Shape.Bound + distances.Gap + distances.SearchMargin);
        AddEdges();
        var room = tray.Room.Area / lot.Shape.Area;
        inward = room > Many && lot.Piece.Quantity > Full * room && tray.Standings.All(s => s.Lot == lot);
        if (inward && tray.Standings.Count == 0) places.Add(middle);
        for (var i = 0; i < edges.Count; i++)
        {
            for (var j = i; j < edges.Count; j++) Offer(edges[i], edges[j]);
        }
    }

    private double Largest { get; }

    /// <summary>The best free corner place for the ware; null when there is none.</summary>
    public static Standing? Find(Tray tray, Lot lot, Distances distances, Dice dice)
    {
        if (tray.Nooks is not { } nooks || !nooks.Serves(lot)) tray.Nooks = nooks = new Nooks(tray, lot, distances);
        return nooks.Best(nooks.inward ? 3 : dice.Below(3));
    }

    /// <summary>True where nothing but discs stands: then a disc that finds no corner place finds none at all.</summary>
    public static bool TellAll(Tray tray) =>
        tray.Room.Region.Obstacles.All(o => o.Shape.IsDisc) && tray.Standings.All(s => s.Lot.Shape.IsDisc);

    private bool Serves(Lot other)
    {
        if (other != lot || revision != tray.Revision) return false;
        for (var i = seen; i < tray.Standings.Count; i++)
        {
            if (tray.Standings[i].Lot.Shape.Bound > Largest) return false;
        }

        return true;
    }

    private Standing? Best(int tilt)
    {
        for (; seen < tray.Standings.Count; seen++) TakeIn(tray.Standings[seen]);
        while (places.Count > 0)
        {
            var (best, bestScore) = (0, double.NegativeInfinity);
            for (var i = 0; i < places.Count; i++)
            {
                var (x, y) = places[i];
                var score = tilt switch { 0 => Geometry.Distance(x, y, middle.X, middle.Y), 3 => -Geometry.Distance(x, y, middle.X, middle.Y), 1 => -y, _ => -x };
                if (score > bestScore) (best, bestScore) = (i, score);
            }

            var standing = Standing.At(lot, 1, places[best].X, places[best].Y, 0);
            if (tray.Allows(standing)) return standing;
            places[best] = places[^1];
            places.RemoveAt(places.Count - 1);
        }

        return null;
    }

    private void AddEdges()
    {
        var (radius, margin, region) = (lot.Shape.Bound, distances.SearchMargin, tray.Room.Region);
        foreach (var (x, y, r) in region.Discs) edges.Add(Curve.Within(x, y, r - radius - margin));
        foreach (var (nx, ny, limit) in region.Planes) edges.Add(Curve.Line(nx, ny, limit - radius - margin));
        foreach (var o in region.Obstacles)
        {
            if (o.To <= tray.Room.Floor || o.From >= tray.Room.Floor + lot.Height) continue;
            if (o.Shape.IsDisc) edges.Add(Curve.Beyond(o.X, o.Y, o.Shape.Bound + radius + o.Clearance + margin));
        }
    }

    // What is no disc makes no corner places; that it is in the way is seen when one is taken.
    private void TakeIn(Standing standing)
    {
        if (!standing.Lot.Shape.IsDisc) return;
        var gap = standing.Lot.Piece.Touch && lot.Piece.Touch ? 0 : distances.Gap;
        var curve = Curve.Beyond(standing.CentreX, standing.CentreY, standing.Lot.Shape.Bound + lot.Shape.Bound + gap + distances.SearchMargin);
        places.RemoveAll(p => !curve.Allows(p.X, p.Y));
        foreach (var edge in edges) Offer(curve, edge);
        foreach (var other in near.About(curve.X, curve.Y, 2, around)) Offer(curve, other);
        near.Add(curve);
        // The second of a lattice lies anywhere beside the first; from then on each touches two.
        if (inward && tray.Standings.Count == 1) places.Add((curve.X, curve.Y - curve.R));
    }

    private void Offer(in Curve a, in Curve b)
    {
        Span<(double X, double Y)> points = stackalloc (double, double)[2];
        var found = Curve.Meet(a, b, points);
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
