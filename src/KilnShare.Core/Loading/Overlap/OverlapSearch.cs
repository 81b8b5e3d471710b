using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Kernel;

namespace KilnShare.Core.Loading.Overlap;

/// <summary>An overlap model with the ways to separate it.</summary>
internal sealed class OverlapSearch
{
    private readonly NeighbourPairs pairs;
    private readonly OverlapEnergy energy;
    private readonly Descent descent;
    private readonly SingleMoves moves;

    /// <summary>
    /// Items on a shelf with its upper face so high over the chamber's floor; a gap and a margin are owed, µm, and what the easing says beyond them.
    /// </summary>
    public OverlapSearch(Region region, IReadOnlyList<OverlapItem> items, long shelfTop, double gap, double margin, Easing? easing = null)
    {
        Model = new OverlapModel(region, items, shelfTop, gap, margin, easing);
        pairs = new NeighbourPairs(Model);
        energy = new OverlapEnergy(Model, pairs);
        descent = new Descent(Model, energy);
        moves = new SingleMoves(Model, energy);
    }

    public OverlapModel Model { get; }

    /// <summary>Goes downhill to a local minimum and returns its energy.</summary>
    public double Descend(int mostSteps) => descent.Run(mostSteps);

    /// <summary>After a descent, what the energy cannot be below within so far of here, where it is convex.</summary>
    public double LeastWithin(double distance) => descent.LeastWithin(distance);

    /// <summary>Gives item i the least painful of random places; the others stand still. Returns what it overlaps there.</summary>
    public double Relocate(int i, int samples, SeededRandom random) => moves.Relocate(i, samples, random);

    /// <summary>What item i overlaps where all stand.</summary>
    public double PainOf(int i)
    {
        moves.Settle();
        return moves.PainOf(i);
    }

    /// <summary>The distances that still grow and are too short where all stand: of an item from another body, or from an edge; by so much, µm.</summary>
    public IReadOnlyList<(int Item, int Other, bool IsEdge, double Depth)> Missing(Easing easing)
    {
        moves.Settle();
        var missing = new List<(int, int, bool, double)>();
        for (var i = 0; i < Model.Count; i++)
        {
            for (var j = i + 1; j < Model.Total; j++)
            {
                if (Model.IsHeld[i] && Model.IsHeld[j]) continue;
                if (Model.Matters(i, j) && easing.PairGrows(i, j) && energy.DepthBetween(i, j) is > 0 and var depth) missing.Add((i, j, false, depth));
            }

            for (var e = 0; e < Model.Edges; e++)
            {
                if (easing.EdgeGrows(i, e) && energy.DepthBeyond(i, e) is > 0 and var depth) missing.Add((i, e, true, depth));
            }
        }

        return missing;
    }

    /// <summary>Separates by guided local search; true where that succeeds.</summary>
    public bool Squeeze(int rounds, int descentSteps, SearchContext context) =>
        new GuidedLocalSearch(Model, pairs, energy, descent, moves).Run(rounds, descentSteps, context.Budget, context.Random);

    /// <summary>Separates by basin hopping, which also lets items change places; true where that succeeds.</summary>
    public bool Hop(int hops, int descentSteps, SearchContext context) =>
        new BasinHopping(Model, pairs, descent, moves, context.Random).Run(hops, descentSteps, context.Budget);
}
