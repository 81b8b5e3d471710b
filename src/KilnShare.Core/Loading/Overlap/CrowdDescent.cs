using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace KilnShare.Core.Loading.Overlap;

/// <content>Minimising the overlap.</content>
internal sealed partial class Crowd
{
    /// <summary>Depth sums below this are no overlap, µm²: with the margin kept, rounding still leaves what is owed.</summary>
    public const double Solved = 1;

    // So many steps in a row that gain less than this part of the energy.
    private const int MostStalled = 3;
    private const double LittleGain = 0.005;
    private const int Memory = 6;
    private readonly double[][] steps = new double[Memory][];
    private readonly double[][] changes = new double[Memory][];
    private readonly double[] products = new double[Memory];
    private readonly double[] alphas = new double[Memory];
    private double[] gradient = [];
    private double[] nextGradient = [];
    private double[] next = [];
    private double[] direction = [];

    /// <summary>
    /// Goes downhill from V to a local minimum of the energy and returns it: L-BFGS (Liu and Nocedal 1989) with shortening of the step.
    /// It stops where little is gained.
    /// </summary>
    public double Descend(int mostSteps)
    {
        Allocate();
        var energy = Energy(V, gradient);
        int used = 0, newest = -1;
        var stalled = 0;
        for (var step = 0; step < mostSteps && energy > Solved && stalled < MostStalled; step++)
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

            var reached = Walk(energy, slope);
            if (reached >= energy) break;
            newest = Remember(newest, ref used);
            stalled = energy - reached < LittleGain * energy ? stalled + 1 : 0;
            energy = reached;
        }

        return energy;
    }

    /// <summary>
    /// After a descent, what the energy cannot be below within so far of here, where it is convex: a convex function lies above its tangent.
    /// </summary>
    public double LeastWithin(double distance)
    {
        var energy = Energy(V, gradient);
        return energy - (Math.Sqrt(Dot(gradient, gradient)) * distance);
    }

    private void Allocate()
    {
        if (gradient.Length == V.Length) return;
        (gradient, nextGradient, next, direction) = (new double[V.Length], new double[V.Length], new double[V.Length], new double[V.Length]);
        for (var i = 0; i < Memory; i++) (steps[i], changes[i]) = (new double[V.Length], new double[V.Length]);
    }

    // Two loops of L-BFGS; without memory a quarter of the gradient, which undoes the overlap of one pair exactly.
    private void Direct(int used, int newest)
    {
        for (var k = 0; k < alive; k++) direction[k] = -gradient[k];
        for (var m = 0; m < used; m++)
        {
            var at = (newest - m + Memory) % Memory;
            alphas[at] = Dot(steps[at], direction) / products[at];
            AddTo(direction, -alphas[at], changes[at]);
        }

        var scale = used == 0 ? 0.25 : products[newest] / Dot(changes[newest], changes[newest]);
        for (var k = 0; k < alive; k++) direction[k] *= scale;
        for (var m = used - 1; m >= 0; m--)
        {
            var at = (newest - m + Memory) % Memory;
            AddTo(direction, alphas[at] - (Dot(changes[at], direction) / products[at]), steps[at]);
        }
    }

    private double Walk(double energy, double slope)
    {
        var length = 1.0;
        for (var tries = 0; tries < 8; tries++)
        {
            Array.Copy(V, next, V.Length);
            AddTo(next, length, direction);
            var reached = Energy(next, nextGradient);
            if (reached <= energy + (1e-4 * length * slope)) return reached;
            length *= 0.4;
        }

        return double.PositiveInfinity;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private int Remember(int newest, ref int used)
    {
        var at = (newest + 1) % Memory;
        var (step, change) = (steps[at], changes[at]);
        for (var k = 0; k < alive; k++)
        {
            step[k] = next[k] - V[k];
            change[k] = nextGradient[k] - gradient[k];
            V[k] = next[k];
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

    private Span<Vector256<double>> Fours(double[] a) => MemoryMarshal.Cast<double, Vector256<double>>(a.AsSpan(0, alive));
}
