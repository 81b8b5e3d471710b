using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Kernel;

namespace KilnShare.Core.Loading.Overlap;

/// <content>Basin hopping over the overlap energy.</content>
internal sealed partial class Crowd
{
    // Changes in a row that may fail before the best state is upset.
    private const int Patience = 200;

    // The same minimum, reached a little better, is no success.
    private const double Better = 0.999;

    // Changes that upset the best state.
    private const int Upsets = 4;

    // Members so many ranks of size apart may change places.
    private const int SwapReach = 3;

    // Places tried for one that goes elsewhere.
    private const int Places = 60;

    // Members within so many times the bound of one are shaken with it, each by so much of the bound at most.
    private const double ShakenWithin = 3;
    private const double ShakenBy = 0.8;

    /// <summary>
    /// Tries to bring the energy to nothing by small changes of a local minimum, each followed by a descent and taken when it overlaps less:
    /// two members of near size change places, one under pressure goes where it hurts least, or some that stand together are shaken.
    /// </summary>
    /// <remarks>
    /// Monotonic basin hopping (Grosso, Jamali, Locatelli and Schoen 2010) with the swaps of iterated tabu search for unequal circles
    /// (Fu, Huang and Lü 2013); after many failures it goes on from the best state upset by several changes (iterated local search,
    /// Lourenço, Martin and Stützle 2003).
    /// </remarks>
    public bool Hop(int hops, int descentSteps, SearchBudget budget, SeededRandom random)
    {
        ResetWeights();
        var bySize = Enumerable.Range(0, Count).Where(i => !members[i].Fixed).OrderBy(i => members[i].Shape.Area).ToArray();
        var differ = bySize.Length > 1 && members[bySize[0]].Shape.Area < members[bySize[^1]].Shape.Area;
        var energy = Descend(descentSteps);
        var (best, current) = ((double[])V.Clone(), (double[])V.Clone());
        var (least, since) = (energy, 0);
        for (var hop = 0; hop < hops && least > Solved && !budget.Stop && bySize.Length > 1; hop++)
        {
            budget.Tick();
            var upset = since == Patience;
            if (upset) Upset(best, bySize, differ, random);
            else Change(bySize, differ, random);
            var reached = Descend(descentSteps);
            since = upset ? 0 : since + 1;
            if (upset || reached < energy) energy = KeepIn(current, reached);
            else Load(current);
            if (energy < Better * least) since = 0;
            if (energy < least) least = KeepIn(best, energy);
        }

        Load(best);
        return least <= Solved;
    }

    private double KeepIn(double[] positions, double energy)
    {
        Array.Copy(V, positions, V.Length);
        return energy;
    }

    private void Upset(double[] best, int[] bySize, bool differ, SeededRandom random)
    {
        Load(best);
        for (var k = 0; k < Upsets; k++)
        {
            if (differ && random.Below(2) == 0) Swap(bySize, random);
            else Relocate(bySize[random.Below(bySize.Length)], Places, random);
        }
    }

    private void Change(int[] bySize, bool differ, SeededRandom random)
    {
        if (differ && random.Below(5) > 0) Swap(bySize, random);
        else if (!differ && random.Below(3) == 0) Shake(bySize, random);
        else Relocate(UnderPressure(bySize, random), Places, random);
    }

    private void Swap(int[] bySize, SeededRandom random)
    {
        var reach = Math.Min(bySize.Length - 1, SwapReach);
        var at = random.Below(bySize.Length - 1);
        var other = Math.Min(bySize.Length - 1, at + 1 + random.Below(reach));
        while (other < bySize.Length - 1 && members[bySize[at]].Shape == members[bySize[other]].Shape) other++;
        var (a, b) = (bySize[at], bySize[other]);
        (V[a], V[b], V[yAt + a], V[yAt + b]) = (V[b], V[a], V[yAt + b], V[yAt + a]);
        pairsAreStale = true;
    }

    private void Shake(int[] movable, SeededRandom random)
    {
        var middle = movable[random.Below(movable.Length)];
        var (x, y, reach) = (V[middle], V[yAt + middle], ShakenWithin * bodies.Shapes[middle].Bound);
        foreach (var i in movable)
        {
            if (Plane.Distance(x, y, V[i], V[yAt + i]) > reach) continue;
            var by = ShakenBy * bodies.Shapes[i].Bound;
            V[i] += random.Between(-by, by);
            V[yAt + i] += random.Between(-by, by);
        }

        pairsAreStale = true;
    }

    // Drawn some times among all; the one that overlaps more.
    private int UnderPressure(int[] movable, SeededRandom random)
    {
        Settle();
        var (worst, most) = (movable[random.Below(movable.Length)], -1.0);
        for (var draw = 0; draw < 4; draw++)
        {
            var i = movable[random.Below(movable.Length)];
            var pain = PainAt(i, V[i], V[yAt + i], V[turnAt + i]);
            if (pain > most) (worst, most) = (i, pain);
        }

        return worst;
    }
}
