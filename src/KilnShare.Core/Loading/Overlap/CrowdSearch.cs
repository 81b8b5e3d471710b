using System.Runtime.CompilerServices;
using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Kernel;

namespace KilnShare.Core.Loading.Overlap;

/// <content>Finding a better place for one member, and squeezing all of them in.</content>
internal sealed partial class Crowd
{
    private readonly double[] alone;

    /// <summary>Brings the bodies to where V has them; asked before the pain of single members.</summary>
    public void Settle() => PlaceMembers(V);

    /// <summary>Energy of member i alone at that place, where it is left; bodies of the others stand as last settled.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public double PainAt(int i, double x, double y, double turn)
    {
        (V[i], V[yAt + i], V[turnAt + i]) = (x, y, turn);
        (alone[i], alone[yAt + i], alone[turnAt + i]) = (0, 0, 0);
        if (!allRound) PlaceMember(i, V);
        pairsAreStale = true;
        double pain = 0;
        for (var j = 0; j < total; j++)
        {
            if (j != i && Matters(i, j)) pain += PainBetween(i, j);
        }

        return pain + WallEnergy(i, V, alone);
    }

    /// <summary>Lets member i alone slide downhill from a place; its end place is left in V.</summary>
    public double Slide(int i, double x, double y, double turn, int mostSteps)
    {
        var pain = PainAt(i, x, y, turn);
        var pace = 0.5;
        for (var step = 0; step < mostSteps && pain > 0 && pace > 0.02; step++)
        {
            var (fx, fy, ft) = (alone[i], alone[yAt + i], MayTurn(i) ? alone[turnAt + i] : 0);
            var (tx, ty, tt) = (x - (pace * fx), y - (pace * fy), turn - (pace * ft));
            var reached = PainAt(i, tx, ty, tt);
            if (reached < pain)
            {
                (x, y, turn, pain) = (tx, ty, tt, reached);
                pace = Math.Min(0.5, pace * 1.4);
            }
            else
            {
                pace *= 0.4;
                PainAt(i, x, y, turn);
            }
        }

        return PainAt(i, x, y, turn);
    }

    /// <summary>Gives member i the least painful of random places, after a short slide from the best few.</summary>
    public double Relocate(int i, int samples, SeededRandom random)
    {
        Settle();
        var (minX, maxX, minY, maxY) = region.Box;
        var best = (Pain: double.PositiveInfinity, X: V[i], Y: V[yAt + i], Turn: V[turnAt + i]);
        for (var s = 0; s < samples; s++)
        {
            var (x, y) = (random.Between(minX, maxX), random.Between(minY, maxY));
            var turn = MayTurn(i) ? RandomTurn(i, random) : best.Turn;
            var pain = PainAt(i, x, y, turn);
            if (pain < best.Pain) best = (pain, x, y, turn);
        }

        return Slide(i, best.X, best.Y, best.Turn, 12);
    }

    /// <summary>
    /// Tries to bring the energy to nothing: minimise, make the pairs that still overlap weigh more, move the worst member elsewhere, again.
    /// </summary>
    /// <remarks>
    /// Guided local search (Voudouris and Tsang 1999) over overlaps, as used for nesting by Egeblad, Nielsen and Odgaard (2007)
    /// and Gardeyn, Vanden Berghe and Wauters (arXiv:2509.13329).
    /// </remarks>
    public bool Squeeze(int rounds, int descentSteps, SearchBudget budget, SeededRandom random)
    {
        for (var done = 0; done < rounds; done++)
        {
            budget.Tick();
            if (Descend(descentSteps) <= Solved) return true;
            if (budget.Stop || done == rounds - 1) return false;
            var worst = WeighOverlaps();
            if (worst >= 0 && done % 3 == 2) Relocate(worst, 24, random);
        }

        return false;
    }

    // Half of the turns are such that sides may come to lie along those of the shelf or of something else on it.
    private double RandomTurn(int i, SeededRandom random)
    {
        if (members[i].Shape.Parts.Length > 1 || random.Below(2) > 0) return random.Between(0, 2 * Math.PI) * turnLength[i];
        var other = random.Below(total);
        var along = random.Below(2) == 0 && planeTurns.Length > 0 ? planeTurns[random.Below(planeTurns.Length)]
            : other < Count && other != i && !round[other] ? TurnOf(other) : 0;
        return (along + (random.Below(4) * (Math.PI / 2))) * turnLength[i];
    }

    // Pairs that still overlap get heavier in proportion; returns the movable member with the most weighted overlap.
    private int WeighOverlaps()
    {
        Settle();
        weights ??= [];
        var pains = new double[total];
        var overlaps = roundPairs.List().Concat(roughPairs.List()).Select(p => (p.I, p.J, Depth: DepthOf(p.I, p.J))).Where(p => p.Depth > 0).ToList();
        var most = overlaps.Select(p => p.Depth).DefaultIfEmpty(0).Max();
        foreach (var (i, j, depth) in overlaps)
        {
            var weight = WeightOf(i, j);
            pains[i] += weight * depth;
            pains[j] += weight * depth;
            weights[(i, j)] = Math.Min(1000, weight * (1 + (0.5 * depth / most)));
        }

        pairsAreStale = true;
        var worst = -1;
        for (var i = 0; i < Count; i++)
        {
            if (!held[i] && pains[i] > 0 && (worst < 0 || pains[i] > pains[worst])) worst = i;
        }

        return worst;
    }

    private double DepthOf(int i, int j)
    {
        if (round[i] && round[j]) return bodies.Shapes[i].Bound + bodies.Shapes[j].Bound + Owed(i, j) - Plane.Distance(V[i], V[yAt + i], V[j], V[yAt + j]);
        var contact = default(Contact);
        var deepest = 0.0;
        for (var a = bodies.FirstPart(i); a < bodies.FirstPart(i + 1); a++)
        {
            for (var b = bodies.FirstPart(j); b < bodies.FirstPart(j + 1); b++)
            {
                bodies.Meet(a, b, Owed(i, j), ref contact);
                deepest = Math.Max(deepest, contact.Depth);
            }
        }

        return deepest;
    }

    // The force on j is written down too, but nobody reads it.
    private double PainBetween(int i, int j)
    {
        var reach = bodies.Shapes[i].Bound + bodies.Shapes[j].Bound + Owed(i, j);
        var (dx, dy) = (V[i] - V[j], V[yAt + i] - V[yAt + j]);
        var squared = (dx * dx) + (dy * dy);
        if (squared >= reach * reach) return 0;
        var weight = WeightOf(i, j);
        if (!round[i] || !round[j]) return RoughPair(i, j, reach, weight, V, alone);
        var distance = Math.Sqrt(squared);
        var depth = reach - distance;
        var (ux, uy) = distance > 1e-9 ? (dx / distance, dy / distance) : (1, 0);
        alone[i] -= 2 * weight * depth * ux;
        alone[yAt + i] -= 2 * weight * depth * uy;
        return weight * depth * depth;
    }
}
