namespace KilnShare.Core.Loading.Overlap;

/// <summary>
/// What items keep from each other and from edges beyond what is owed: all of them alike, by the level, but none beyond what it was fixed at. Two items keep
/// twice the level, since each may be off by it.
/// </summary>
/// <param name="items">How many items there are.</param>
/// <param name="bodies">How many items and obstacles there are.</param>
/// <param name="edges">How many edges hold items in.</param>
internal sealed class Easing(int items, int bodies, int edges)
{
    private readonly double[] pairs = Growing(items * bodies);
    private readonly double[] ofEdges = Growing(items * edges);

    /// <summary>What two items keep from each other beyond what they owe at the least, µm.</summary>
    public double Floor { get; init; }

    /// <summary>So much may be missing from what each keeps, µm.</summary>
    public double Leniency { get; set; }

    /// <summary>By how much an item may be off, where it is not fixed at less, µm.</summary>
    public double Level { get; set; }

    /// <summary>What an item keeps from another body beyond what it owes, µm.</summary>
    public double OfPair(int i, int j)
    {
        var alone = Math.Min(Level, pairs[At(i, j)]) - Leniency;
        return j < items ? Math.Max(Floor, 2 * alone) : alone;
    }

    /// <summary>What an item keeps from an edge, µm.</summary>
    public double OfEdge(int i, int edge) => Math.Min(Level, ofEdges[(i * edges) + edge]) - Leniency;

    /// <summary>True where the pair goes by the level.</summary>
    public bool PairGrows(int i, int j) => double.IsPositiveInfinity(pairs[At(i, j)]);

    /// <summary>True where the item's distance from the edge goes by the level.</summary>
    public bool EdgeGrows(int i, int edge) => double.IsPositiveInfinity(ofEdges[(i * edges) + edge]);

    /// <summary>Keeps the pair at that level from now on.</summary>
    public void FixPair(int i, int j, double level) => pairs[At(i, j)] = level;

    /// <summary>Keeps the item's distance from the edge at that level from now on.</summary>
    public void FixEdge(int i, int edge, double level) => ofEdges[(i * edges) + edge] = level;

    private int At(int i, int j) => (Math.Min(i, j) * bodies) + Math.Max(i, j);

    private static double[] Growing(int count)
    {
        var all = new double[count];
        Array.Fill(all, double.PositiveInfinity);
        return all;
    }
}
