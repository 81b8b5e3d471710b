using System.Runtime.CompilerServices;

namespace KilnShare.Core.Loading;

/// <content>Finding a better place for one member, and squeezing all of them in.</content>
internal sealed partial class Crowd
{
    private readonly double[] force = new double[3];
    private readonly double[] trial = new double[3];

    /// <summary>Brings the bodies to where V has them; asked before the pain of single members.</summary>
    public void Settle() => PlaceMembers(V);

    /// <summary>Energy of member i alone at that place; bodies of the others stand as last settled. Leaves i's body there.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public double PainAt(int i, double x, double y, double turn)
    {
        (trial[0], trial[1], trial[2]) = (x, y, turn);
        Array.Clear(force);
        PlaceMember(i, x, y, turn);
        double pain = 0;
        for (var j = 0; j < total; j++)
        {
            if (j != i && Matters(i, j)) pain += PainBetween(i, j, x, y);
        }

        return pain + LonelyWallEnergy(i);
    }

    /// <summary>Lets member i alone slide downhill from a place; its end place is left in V.</summary>
    public double Slide(int i, double x, double y, double turn, int mostSteps)
    {
        var pain = PainAt(i, x, y, turn);
        var pace = 0.5;
        for (var step = 0; step < mostSteps && pain > 0 && pace > 0.02; step++)
        {
            var (fx, fy, ft) = (force[0], force[1], MayTurn(i) ? force[2] : 0);
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

        PlaceMember(i, x, y, turn);
        (V[3 * i], V[(3 * i) + 1], V[(3 * i) + 2]) = (x, y, turn);
        pairCount = -1;
        return pain;
    }

    /// <summary>Gives member i the least painful of random places, after a short slide from the best few.</summary>
    public double Relocate(int i, int samples, Dice dice)
    {
        Settle();
        var (minX, maxX, minY, maxY) = region.Box;
        var best = (Pain: double.PositiveInfinity, X: V[3 * i], Y: V[(3 * i) + 1], Turn: V[(3 * i) + 2]);
        for (var s = 0; s < samples; s++)
        {
            var (x, y) = (dice.Between(minX, maxX), dice.Between(minY, maxY));
            var turn = MayTurn(i) ? RandomTurn(i, dice) : V[(3 * i) + 2];
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
    public bool Squeeze(int rounds, int descentSteps, Meter meter, Dice dice)
    {
        for (var round = 0; round < rounds; round++)
        {
            meter.Tick();
            if (Descend(descentSteps) <= Solved) return true;
            if (meter.Stop || round == rounds - 1) return false;
            var worst = WeighOverlaps();
            if (worst >= 0 && round % 3 == 2) Relocate(worst, 24, dice);
        }

        return false;
    }

    private bool MayTurn(int i) => members[i].MayTurn && !turnsFrozen && !members[i].Fixed && !members[i].Shape.IsDisc;

    private double RandomTurn(int i, Dice dice) =>
        members[i].Shape.Parts.Length == 1 && dice.Below(2) == 0
            ? dice.Below(4) * (Math.PI / 2) * turnLength[i]
            : dice.Between(0, 2 * Math.PI) * turnLength[i];

    // Pairs that still overlap get heavier in proportion; returns the movable member with the most weighted overlap.
    private int WeighOverlaps()
    {
        Settle();
        Span<double> pains = Count <= 512 ? stackalloc double[Count] : new double[Count];
        var most = 0.0;
        for (var p = 0; p < pairCount; p += 2) most = Math.Max(most, DepthOf(pairs[p], pairs[p + 1]));
        for (var p = 0; p < pairCount; p += 2)
        {
            var (i, j) = (pairs[p], pairs[p + 1]);
            var depth = DepthOf(i, j);
            if (depth <= 0) continue;
            var at = (i * total) + j;
            pains[i] += weights[at] * depth;
            if (j < Count) pains[j] += weights[at] * depth;
            weights[at] = Math.Min(1000, weights[at] * (1 + (0.5 * depth / most)));
        }

        var worst = -1;
        for (var i = 0; i < Count; i++)
        {
            if (!members[i].Fixed && pains[i] > 0 && (worst < 0 || pains[i] > pains[worst])) worst = i;
        }

        return worst;
    }

    private double DepthOf(int i, int j)
    {
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

    private double PainBetween(int i, int j, double x, double y)
    {
        var owed = Owed(i, j);
        var reach = bodies.Shapes[i].Bound + bodies.Shapes[j].Bound + owed;
        var (xj, yj) = j < Count ? (V[3 * j], V[(3 * j) + 1]) : (obstacles[j - Count].X, obstacles[j - Count].Y);
        if (((x - xj) * (x - xj)) + ((y - yj) * (y - yj)) >= reach * reach) return 0;
        var weight = i < j ? weights[(i * total) + j] : weights[(j * total) + i];
        var contact = default(Contact);
        double pain = 0;
        for (var a = bodies.FirstPart(i); a < bodies.FirstPart(i + 1); a++)
        {
            for (var b = bodies.FirstPart(j); b < bodies.FirstPart(j + 1); b++)
            {
                bodies.Meet(a, b, owed, ref contact);
                if (contact.Depth <= 0) continue;
                pain += weight * contact.Depth * contact.Depth;
                PushAlone(i, ref contact, -2 * weight * contact.Depth);
            }
        }

        return pain;
    }

    private void PushAlone(int i, ref Contact contact, double strength)
    {
        force[0] += strength * contact.Nx;
        force[1] += strength * contact.Ny;
        force[2] += strength * (((contact.X - trial[0]) * contact.Ny) - ((contact.Y - trial[1]) * contact.Nx)) / turnLength[i];
    }

    private double LonelyWallEnergy(int i)
    {
        lonelyV ??= new double[V.Length];
        lonelyG ??= new double[V.Length];
        var at = 3 * i;
        (lonelyV[at], lonelyV[at + 1], lonelyV[at + 2]) = (trial[0], trial[1], trial[2]);
        (lonelyG[at], lonelyG[at + 1], lonelyG[at + 2]) = (0, 0, 0);
        var pain = WallEnergy(i, lonelyV, lonelyG);
        for (var k = 0; k < 3; k++) force[k] += lonelyG[at + k];
        return pain;
    }

    private double[]? lonelyV;
    private double[]? lonelyG;
}
