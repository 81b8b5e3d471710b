using KilnShare.Core.Pieces;

namespace KilnShare.Core.Costs;

/// <summary>The area of everything within a distance of a simple polygon, convex or not: pockets narrower than twice the distance fill up.</summary>
internal static class GrownPolygon
{
    /// <summary>Bands between two events are cut so often that the kinks where two edges' surroundings cross do no harm.</summary>
    private const int CutsOfHeight = 128;

    // Gauss-Legendre, 8 points on −1 to 1. Source: Abramowitz and Stegun, table 25.4.
    private static readonly double[] Nodes = [0.1834346424956498, 0.5255324099163290, 0.7966664774136267, 0.9602898564975363];
    private static readonly double[] Weights = [0.3626837833783620, 0.3137066458778873, 0.2223810344533745, 0.1012285362903763];

    /// <summary>The area, by adding up the widths of horizontal slices between the heights at which their make-up changes.</summary>
    /// <remarks>Units: µm². Valid for: simple polygons, distance above 0. Accuracy: 10⁻⁵ of the area.</remarks>
    public static double AreaUm2(IReadOnlyList<PlanPoint> points, double distanceUm)
    {
        var edges = points.Select((p, i) => new Edge(p, points[(i + 1) % points.Count], distanceUm)).ToArray();
        var events = edges.SelectMany(e => e.Events).Distinct().Order().ToArray();
        var longest = (events[^1] - events[0]) / CutsOfHeight;
        var spans = new (double From, double To)[2 * edges.Length];
        var area = 0.0;
        for (var k = 0; k + 1 < events.Length; k++)
        {
            var cuts = Math.Max(1, (int)Math.Ceiling((events[k + 1] - events[k]) / longest));
            var step = (events[k + 1] - events[k]) / cuts;
            for (var c = 0; c < cuts; c++) area += Band(edges, events[k] + c * step, step, spans);
        }
        return area;
    }

    /// <summary>Heights are y = middle + half·sin(πt/2): a disc's top, where the width grows as a root, is then smooth.</summary>
    private static double Band(Edge[] edges, double from, double step, (double From, double To)[] spans)
    {
        var sum = 0.0;
        for (var k = 0; k < 2 * Nodes.Length; k++)
        {
            var t = k < Nodes.Length ? Nodes[k] : -Nodes[k - Nodes.Length];
            var y = from + step / 2 * (1 + Math.Sin(Math.PI / 2 * t));
            sum += Weights[k % Nodes.Length] * Math.PI / 2 * Math.Cos(Math.PI / 2 * t) * Width(edges, y, spans);
        }
        return sum * step / 2;
    }

    private static double Width(Edge[] edges, double y, (double From, double To)[] spans)
    {
        var count = 0;
        Span<double> crossings = stackalloc double[edges.Length];
        var crossed = 0;
        foreach (var edge in edges)
        {
            if (edge.Surroundings(y) is { } near) spans[count++] = near;
            if (edge.Crossing(y) is { } x) crossings[crossed++] = x;
        }
        crossings[..crossed].Sort();
        for (var i = 0; i + 1 < crossed; i += 2) spans[count++] = (crossings[i], crossings[i + 1]);
        return UnionLength(spans.AsSpan(0, count));
    }

    private static double UnionLength(Span<(double From, double To)> spans)
    {
        spans.Sort((a, b) => a.From.CompareTo(b.From));
        var length = 0.0;
        var reached = double.NegativeInfinity;
        foreach (var (from, to) in spans)
        {
            length += Math.Max(0, to - Math.Max(from, reached));
            reached = Math.Max(reached, to);
        }
        return length;
    }

    /// <summary>One edge and everything within the distance of it: a rectangle along it and a disc at either end.</summary>
    private sealed class Edge(PlanPoint a, PlanPoint b, double distance)
    {
        private readonly double length = Math.Sqrt(Math.Pow(b.X - a.X, 2) + Math.Pow(b.Y - a.Y, 2));

        private double NormalX => (b.Y - a.Y) / length * distance;

        private double NormalY => (a.X - b.X) / length * distance;

        public IEnumerable<double> Events => [a.Y, a.Y - distance, a.Y + distance, a.Y + NormalY, a.Y - NormalY, b.Y + NormalY, b.Y - NormalY];

        public double? Crossing(double y) => a.Y > y == b.Y > y ? null : a.X + (y - a.Y) / (b.Y - a.Y) * (b.X - a.X);

        /// <summary>The slice through rectangle and discs is one span, since their union is convex.</summary>
        public (double From, double To)? Surroundings(double y)
        {
            var (from, to) = (double.PositiveInfinity, double.NegativeInfinity);
            Disc(a, y, ref from, ref to);
            Disc(b, y, ref from, ref to);
            Side(a.X + NormalX, a.Y + NormalY, b.X + NormalX, b.Y + NormalY, y, ref from, ref to);
            Side(a.X - NormalX, a.Y - NormalY, b.X - NormalX, b.Y - NormalY, y, ref from, ref to);
            return from < to ? (from, to) : null;
        }

        private void Disc(PlanPoint centre, double y, ref double from, ref double to)
        {
            var square = distance * distance - (y - centre.Y) * (y - centre.Y);
            if (square <= 0) return;
            from = Math.Min(from, centre.X - Math.Sqrt(square));
            to = Math.Max(to, centre.X + Math.Sqrt(square));
        }

        private static void Side(double x0, double y0, double x1, double y1, double y, ref double from, ref double to)
        {
            if (y0 > y == y1 > y) return;
            var x = x0 + (y - y0) / (y1 - y0) * (x1 - x0);
            from = Math.Min(from, x);
            to = Math.Max(to, x);
        }
    }
}
