using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Kernel;

namespace KilnShare.Core.Loading.Overlap;

/// <summary>
/// Tries to bring the energy to nothing by small changes of a local minimum, each followed by a descent and taken when it overlaps less:
/// two items of near size change places, one under pressure goes where it hurts least, or some that stand together are shaken.
/// </summary>
/// <remarks>
/// Monotonic basin hopping (Grosso, Jamali, Locatelli and Schoen 2010) with the swaps of iterated tabu search for unequal circles
/// (Fu, Huang and Lü 2013); after many failures it goes on from the best state upset by several changes (iterated local search,
/// Lourenço, Martin and Stützle 2003).
/// </remarks>
internal sealed class BasinHopping
{
    private readonly OverlapModel model;
    private readonly NeighbourPairs pairs;
    private readonly Descent descent;
    private readonly SingleMoves moves;
    private readonly SeededRandom random;
    private readonly int[] bySize;
    private readonly bool sizesDiffer;

    public BasinHopping(OverlapModel model, NeighbourPairs pairs, Descent descent, SingleMoves moves, SeededRandom random)
    {
        (this.model, this.pairs, this.descent, this.moves, this.random) = (model, pairs, descent, moves, random);
        bySize = [.. Enumerable.Range(0, model.Count).Where(i => !model[i].Fixed).OrderBy(i => model[i].Shape.Area)];
        sizesDiffer = bySize.Length > 1 && model[bySize[0]].Shape.Area < model[bySize[^1]].Shape.Area;
    }

    /// <summary>True once nothing overlaps any more; else the model is left in the best state found.</summary>
    public bool Run(int hops, int descentSteps, SearchBudget budget)
    {
        pairs.ResetWeights();
        var energy = descent.Run(descentSteps);
        var (best, current) = ((double[])model.V.Clone(), (double[])model.V.Clone());
        var (least, since) = (energy, 0);
        for (var hop = 0; hop < hops && least > Descent.Solved && !budget.Stop && bySize.Length > 1; hop++)
        {
            budget.Tick();
            var upset = since == OverlapTuning.HopPatience;
            if (upset) Upset(best);
            else Change();
            var reached = descent.Run(descentSteps);
            since = upset ? 0 : since + 1;
            if (upset || reached < energy) energy = KeepIn(current, reached);
            else model.Load(current);
            if (energy < OverlapTuning.BetterHop * least) since = 0;
            if (energy < least) least = KeepIn(best, energy);
        }

        model.Load(best);
        return least <= Descent.Solved;
    }

    private double KeepIn(double[] positions, double energy)
    {
        Array.Copy(model.V, positions, model.V.Length);
        return energy;
    }

    private void Upset(double[] best)
    {
        model.Load(best);
        for (var k = 0; k < OverlapTuning.Upsets; k++)
        {
            if (sizesDiffer && random.Below(2) == 0) Swap();
            else moves.Relocate(bySize[random.Below(bySize.Length)], OverlapTuning.HopPlaces, random);
        }
    }

    private void Change()
    {
        if (sizesDiffer && random.Below(5) > 0) Swap();
        else if (!sizesDiffer && random.Below(3) == 0) Shake();
        else moves.Relocate(UnderPressure(), OverlapTuning.HopPlaces, random);
    }

    private void Swap()
    {
        var reach = Math.Min(bySize.Length - 1, OverlapTuning.SwapReach);
        var at = random.Below(bySize.Length - 1);
        var other = Math.Min(bySize.Length - 1, at + 1 + random.Below(reach));
        while (other < bySize.Length - 1 && model[bySize[at]].Shape == model[bySize[other]].Shape) other++;
        var (a, b, v, yAt) = (bySize[at], bySize[other], model.V, model.YAt);
        (v[a], v[b], v[yAt + a], v[yAt + b]) = (v[b], v[a], v[yAt + b], v[yAt + a]);
        model.HasJumped = true;
    }

    private void Shake()
    {
        var middle = bySize[random.Below(bySize.Length)];
        var (v, yAt) = (model.V, model.YAt);
        var (x, y, reach) = (v[middle], v[yAt + middle], OverlapTuning.ShakenWithin * model.Bodies.Shapes[middle].Bound);
        foreach (var i in bySize)
        {
            if (Plane.Distance(x, y, v[i], v[yAt + i]) > reach) continue;
            var by = OverlapTuning.ShakenBy * model.Bodies.Shapes[i].Bound;
            v[i] += random.Between(-by, by);
            v[yAt + i] += random.Between(-by, by);
        }

        model.HasJumped = true;
    }

    // Of some drawn by chance, the one that overlaps most.
    private int UnderPressure()
    {
        moves.Settle();
        var (worst, most) = (bySize[random.Below(bySize.Length)], -1.0);
        for (var draw = 0; draw < OverlapTuning.PressureDraws; draw++)
        {
            var i = bySize[random.Below(bySize.Length)];
            var pain = moves.PainOf(i);
            if (pain > most) (worst, most) = (i, pain);
        }

        return worst;
    }
}
