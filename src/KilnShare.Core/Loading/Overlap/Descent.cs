using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace KilnShare.Core.Loading.Overlap;

/// <summary>Minimises the overlap energy: L-BFGS (Liu and Nocedal 1989) with shortening of the step.</summary>
internal sealed class Descent(OverlapModel model, OverlapEnergy energy)
{
    /// <summary>Energies below this are no overlap, µm²: with the margin kept, rounding still leaves what is owed.</summary>
    public const double Solved = 1;

    private const int Memory = OverlapTuning.DescentMemory;
    private readonly double[][] steps = new double[Memory][];
    private readonly double[][] changes = new double[Memory][];
    private readonly double[] products = new double[Memory];
    private readonly double[] alphas = new double[Memory];
    private double[] gradient = [];
    private double[] nextGradient = [];
    private double[] next = [];
    private double[] direction = [];

    /// <summary>Goes downhill from the model's positions to a local minimum and returns its energy. It stops where little is gained.</summary>
    public double Run(int mostSteps)
    {
        Allocate();
        var reached = energy.At(model.V, gradient);
        int used = 0, newest = -1;
        var stalled = 0;
        for (var step = 0; step < mostSteps && reached > Solved && stalled < OverlapTuning.MostStalled; step++)
        {
            Direct(used, newest);
            var slope = Dot(direction, gradient);
            if (slope >= 0)
            {
                used = 0;
                Direct(0, -1);
                slope = Dot(direction, gradient);
                if (slope >= -1e-12) break;
            }

            var lower = Walk(reached, slope);
            if (lower >= reached) break;
            newest = Remember(newest, ref used);
            stalled = reached - lower < OverlapTuning.LittleGain * reached ? stalled + 1 : 0;
            reached = lower;
        }

        return reached;
    }

    /// <summary>
    /// After a descent, what the energy cannot be below within so far of here, where it is convex: a convex function lies above its tangent.
    /// </summary>
    public double LeastWithin(double distance)
    {
        var here = energy.At(model.V, gradient);
        return here - (Math.Sqrt(Dot(gradient, gradient)) * distance);
    }

    private void Allocate()
    {
        var length = model.V.Length;
        if (gradient.Length == length) return;
        (gradient, nextGradient, next, direction) = (new double[length], new double[length], new double[length], new double[length]);
        for (var i = 0; i < Memory; i++) (steps[i], changes[i]) = (new double[length], new double[length]);
    }

    // Two loops of L-BFGS; without memory a quarter of the gradient, which undoes the overlap of one pair exactly.
    private void Direct(int used, int newest)
    {
        for (var k = 0; k < model.Alive; k++) direction[k] = -gradient[k];
        for (var m = 0; m < used; m++)
        {
            var at = (newest - m + Memory) % Memory;
            alphas[at] = Dot(steps[at], direction) / products[at];
            AddTo(direction, -alphas[at], changes[at]);
        }

        var scale = used == 0 ? 0.25 : products[newest] / Dot(changes[newest], changes[newest]);
        for (var k = 0; k < model.Alive; k++) direction[k] *= scale;
        for (var m = used - 1; m >= 0; m--)
        {
            var at = (newest - m + Memory) % Memory;
            AddTo(direction, alphas[at] - (Dot(changes[at], direction) / products[at]), steps[at]);
        }
    }

    // Shortens the step until the energy falls by enough of what the slope promises (Armijo 1966).
    private double Walk(double from, double slope)
    {
        var length = 1.0;
        for (var tries = 0; tries < OverlapTuning.MostShortenings; tries++)
        {
            Array.Copy(model.V, next, model.V.Length);
            AddTo(next, length, direction);
            var reached = energy.At(next, nextGradient);
            if (reached <= from + (OverlapTuning.LeastDecrease * length * slope)) return reached;
            length *= OverlapTuning.Shortening;
        }

        return double.PositiveInfinity;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private int Remember(int newest, ref int used)
    {
        var at = (newest + 1) % Memory;
        var (step, change, v) = (steps[at], changes[at], model.V);
        for (var k = 0; k < model.Alive; k++)
        {
            step[k] = next[k] - v[k];
            change[k] = nextGradient[k] - gradient[k];
            v[k] = next[k];
        }

        (gradient, nextGradient) = (nextGradient, gradient);
        products[at] = Dot(step, change);
        if (products[at] <= 1e-12)
        {
            used = 0;
            return newest;
        }

        used = Math.Min(used + 1, Memory);
        return at;
    }

    // Always four at a time, so that the sum is the same on every machine.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private double Dot(double[] a, double[] b)
    {
        var p = Fours(a);
        var q = Fours(b);
        var sum = Vector256<double>.Zero;
        for (var k = 0; k < p.Length && k < q.Length; k++) sum += p[k] * q[k];
        return sum[0] + sum[1] + (sum[2] + sum[3]);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void AddTo(double[] a, double factor, double[] b)
    {
        var p = Fours(a);
        var q = Fours(b);
        for (var k = 0; k < p.Length && k < q.Length; k++) p[k] += factor * q[k];
    }

    private Span<Vector256<double>> Fours(double[] a) => MemoryMarshal.Cast<double, Vector256<double>>(a.AsSpan(0, model.Alive));
}
