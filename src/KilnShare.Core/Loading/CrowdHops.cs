namespace KilnShare.Core.Loading;

/// <content>Basin hopping over the overlap energy.</content>
internal sealed partial class Crowd
{
    /// <summary>
    /// Tries to bring the energy to nothing by small changes of a local minimum, each followed by a descent and taken when it overlaps less:
    /// two members of near size change places, or one under pressure goes where it hurts least.
    /// </summary>
    /// <remarks>
    /// Monotonic basin hopping (Grosso, Jamali, Locatelli and Schoen 2010) with the swaps of iterated tabu search for unequal circles
    /// (Fu, Huang and Lü 2013).
    /// </remarks>
    public bool Hop(int hops, int descentSteps, Meter meter, Dice dice)
    {
        ResetWeights();
        var energy = Descend(descentSteps);
        var best = (double[])V.Clone();
        var bySize = Enumerable.Range(0, Count).Where(i => !members[i].Fixed).OrderBy(i => members[i].Shape.Area).ToArray();
        for (var hop = 0; hop < hops && energy > Solved && !meter.Stop && bySize.Length > 1; hop++)
        {
            meter.Tick();
            if (dice.Below(2) == 0) Swap(bySize, dice);
            else Relocate(UnderPressure(bySize, dice), 30, dice);
            var reached = Descend(descentSteps);
            if (reached < energy)
            {
                energy = reached;
                Array.Copy(V, best, V.Length);
            }
            else
            {
                Load(best);
            }
        }

        Load(best);
        return energy <= Solved;
    }

    private void Swap(int[] bySize, Dice dice)
    {
        var reach = Math.Min(bySize.Length - 1, 6);
        var at = dice.Below(bySize.Length - 1);
        var other = Math.Min(bySize.Length - 1, at + 1 + dice.Below(reach));
        while (other < bySize.Length - 1 && members[bySize[at]].Shape == members[bySize[other]].Shape) other++;
        var (a, b) = (bySize[at], bySize[other]);
        (V[a], V[b], V[yAt + a], V[yAt + b]) = (V[b], V[a], V[yAt + b], V[yAt + a]);
        pairsAreStale = true;
    }

    // Drawn twice among all; the one that overlaps more.
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
