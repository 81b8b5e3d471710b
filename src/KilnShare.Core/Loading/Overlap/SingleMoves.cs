using System.Runtime.CompilerServices;
using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Kernel;

namespace KilnShare.Core.Loading.Overlap;

/// <summary>Looks for a better place for one item while the others stand still. Its pain is its part of the overlap energy.</summary>
internal sealed class SingleMoves(OverlapModel model, OverlapEnergy energy)
{
    private readonly double[] force = new double[model.V.Length];
    private readonly double[] edgeTurns = [.. model.Planes.Select(p => Turning.Between(1, 0, p.Nx, p.Ny) * Turning.RadiansPerThousandth)];

    /// <summary>Brings the bodies to where the model has them; asked before the pain of single items.</summary>
    public void Settle() => model.PlaceAll(model.V);

    /// <summary>The pain of item i at that place, where it is left; bodies of the others stand as last settled.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public double PainAt(int i, double x, double y, double turn)
    {
        var (v, yAt, turnAt) = (model.V, model.YAt, model.TurnAt);
        (v[i], v[yAt + i], v[turnAt + i]) = (x, y, turn);
        (force[i], force[yAt + i], force[turnAt + i]) = (0, 0, 0);
        if (!model.AllRound) model.Place(i, v);
        model.HasJumped = true;
        double pain = 0;
        for (var j = 0; j < model.Total; j++)
        {
            if (j != i && model.Matters(i, j)) pain += energy.Between(i, j, force);
        }

        return pain + energy.OfWalls(i, v, force);
    }

    /// <summary>The pain of item i where it is.</summary>
    public double PainOf(int i) => PainAt(i, model.V[i], model.V[model.YAt + i], model.V[model.TurnAt + i]);

    /// <summary>Gives item i the least painful of random places, after a short slide from it.</summary>
    public double Relocate(int i, int samples, SeededRandom random)
    {
        Settle();
        var (minX, maxX, minY, maxY) = model.Region.Box;
        var best = (Pain: double.PositiveInfinity, X: model.V[i], Y: model.V[model.YAt + i], Turn: model.V[model.TurnAt + i]);
        for (var s = 0; s < samples; s++)
        {
            var (x, y) = (random.Between(minX, maxX), random.Between(minY, maxY));
            var turn = model.MayTurn(i) ? RandomTurn(i, random) : best.Turn;
            var pain = PainAt(i, x, y, turn);
            if (pain < best.Pain) best = (pain, x, y, turn);
        }

        return Slide(i, best.X, best.Y, best.Turn);
    }

    // Lets item i slide downhill from a place; it is left where it ends.
    private double Slide(int i, double x, double y, double turn)
    {
        var pain = PainAt(i, x, y, turn);
        var pace = OverlapTuning.FirstPace;
        for (var step = 0; step < OverlapTuning.SlideSteps && pain > 0 && pace > OverlapTuning.LeastPace; step++)
        {
            var (fx, fy, ft) = (force[i], force[model.YAt + i], model.MayTurn(i) ? force[model.TurnAt + i] : 0);
            var (tx, ty, tt) = (x - (pace * fx), y - (pace * fy), turn - (pace * ft));
            var reached = PainAt(i, tx, ty, tt);
            if (reached < pain)
            {
                (x, y, turn, pain) = (tx, ty, tt, reached);
                pace = Math.Min(OverlapTuning.FirstPace, pace * OverlapTuning.Faster);
            }
            else
            {
                pace *= OverlapTuning.Slower;
                PainAt(i, x, y, turn);
            }
        }

        return PainAt(i, x, y, turn);
    }

    // Half of the turns are such that sides may come to lie along those of the shelf or of something else on it.
    private double RandomTurn(int i, SeededRandom random)
    {
        if (model[i].Shape.Parts.Length > 1 || random.Below(2) > 0) return random.Between(0, 2 * Math.PI) * model.TurnLengthOf(i);
        var other = random.Below(model.Total);
        var along = random.Below(2) == 0 && edgeTurns.Length > 0 ? edgeTurns[random.Below(edgeTurns.Length)]
            : other < model.Count && other != i && !model.IsRound[other] ? model.TurnOf(other) : 0;
        return (along + (random.Below(4) * (Math.PI / 2))) * model.TurnLengthOf(i);
    }
}
