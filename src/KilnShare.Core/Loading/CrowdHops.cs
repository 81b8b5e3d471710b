namespace KilnShare.Core.Loading;

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
    public bool Hop(int hops, int descentSteps, Meter meter, Dice dice)
    {
        ResetWeights();
        var bySize = Enumerable.Range(0, Count).Where(i => !members[i].Fixed).OrderBy(i => members[i].Shape.Area).ToArray();
        var differ = bySize.Length > 1 && members[bySize[0]].Shape.Area < members[bySize[^1]].Shape.Area;
        var energy = Descend(descentSteps);
        var (best, current) = ((double[])V.Clone(), (double[])V.Clone());
        var (least, since) = (energy, 0);
        for (var hop = 0; hop < hops && least > Solved && !meter.Stop && bySize.Length > 1; hop++)
        {
            meter.Tick();
            var upset = since == Patience;
            if (upset) Upset(best, bySize, differ, dice);
            else Change(bySize, differ, dice);
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

    private void Upset(double[] best, int[] bySize, bool differ, Dice dice)
    {
        Load(best);
        for (var k = 0; k < Upsets; k++)
        {
            if (differ && dice.Below(2) == 0) Swap(bySize, dice);
            else Relocate(bySize[dice.Below(bySize.Length)], Places, dice);
        }
    }

    private void Change(int[] bySize, bool differ, Dice dice)
    {
        if (differ && dice.Below(5) > 0) Swap(bySize, dice);
        else if (!differ && dice.Below(3) == 0) Shake(bySize, dice);
        else Relocate(UnderPressure(bySize, dice), Places, dice);
    }

    private void Swap(int[] bySize, Dice dice)
    {
        var reach = Math.Min(bySize.Length - 1, SwapReach);
        var at = dice.Below(bySize.Length - 1);
        var other = Math.Min(bySize.Length - 1, at + 1 + dice.Below(reach));
        while (other < bySize.Length - 1 && members[bySize[at]].Shape == members[bySize[other]].Shape) other++;
        var (a, b) = (bySize[at], bySize[other]);
        (V[a], V[b], V[yAt + a], V[yAt + b]) = (V[b], V[a], V[yAt + b], V[yAt + a]);
        pairsAreStale = true;
    }

    private void Shake(int[] movable, Dice dice)
    {
        var middle = movable[dice.Below(movable.Length)];
        var (x, y, reach) = (V[middle], V[yAt + middle], ShakenWithin * bodies.Shapes[middle].Bound);
        foreach (var i in movable)
        {
            if (Geometry.Distance(x, y, V[i], V[yAt + i]) > reach) continue;
            var by = ShakenBy * bodies.Shapes[i].Bound;
            V[i] += dice.Between(-by, by);
            V[yAt + i] += dice.Between(-by, by);
        }

        pairsAreStale = true;
    }

    // Drawn some times among all; the one that overlaps more.
    private int UnderPressure(int[] movable, Dice dice)
    {
        Settle();
        var (worst, most) = (movable[dice.Below(movable.Length)], -1.0);
        for (var draw = 0; draw < 4; draw++)
        {
            var i = movable[dice.Below(movable.Length)];
            var pain = PainAt(i, V[i], V[yAt + i], V[turnAt + i]);
            if (pain > most) (worst, most) = (i, pain);
        }

        return worst;
    }
}
