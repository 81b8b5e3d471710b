using System.Runtime.Intrinsics;
using KilnShare.Core.Common;

namespace KilnShare.Core.Cones;

/// <summary>
/// Adds up heat-work point by point, for every cone of a series at once, while a kiln fires or over a stored log. Between two points
/// the temperature is taken to be straight, and that integral is exact to 1e-8.
/// </summary>
/// <remarks>
/// Source: see <see cref="ConeKinetics"/> and <see cref="ArrheniusIntegral"/>; a short piece takes the trapezoid rule with the
/// Euler-Maclaurin correction by the slopes at its ends instead, whose relative error is (change of E/RT)⁴/720. Units: s, °C.
/// </remarks>
public sealed class HeatWorkMeter
{
    // Change of E/RT over a piece up to which it is short: 0.05⁴/720 is 9e-9.
    private const double ShortExponent = 0.05;

    // A sum of many short pieces may fall short of the whole by their error of 1e-8 and its rounding.
    private const double DownAt = 1 - 1e-7;

    private const int Halvings = 60;

    // A cone this much slower (in the exponent) than at its reference gains less than 1e-8 of its way in the longest history.
    private const double AsleepExponent = 30;

    private readonly IReadOnlyList<ConeKinetics> kinetics;
    private readonly double[] activation;
    private readonly double[] atReference;
    private readonly double[] work;
    private readonly double[] workBefore;
    private readonly double[] speed;
    private readonly double[] needed;
    private readonly double[] asleepBelowKelvin;
    private readonly double[] steepest;
    private readonly double?[] ownDown;
    private double lastSeconds;
    private double lastKelvin;
    private bool started;

    private HeatWorkMeter(IReadOnlyList<ConeKinetics> kinetics)
    {
        this.kinetics = kinetics;
        var lanes = Vector256<double>.Count;
        var padded = (kinetics.Count + lanes - 1) / lanes * lanes;
        activation = new double[padded];
        atReference = new double[padded];
        needed = new double[padded];
        work = new double[padded];
        workBefore = new double[padded];
        speed = new double[padded];
        asleepBelowKelvin = new double[padded / lanes];
        steepest = new double[padded / lanes];
        Array.Fill(asleepBelowKelvin, double.PositiveInfinity);
        ownDown = new double?[kinetics.Count];
        for (var i = 0; i < padded; i++)
        {
            var cone = kinetics[Math.Min(i, kinetics.Count - 1)];
            activation[i] = cone.ActivationKelvin;
            atReference[i] = cone.ActivationKelvin / cone.ReferenceKelvin;
            needed[i] = cone.SecondsAtReference;
            steepest[i / lanes] = Math.Max(steepest[i / lanes], activation[i]);
            asleepBelowKelvin[i / lanes] = Math.Min(asleepBelowKelvin[i / lanes], activation[i] / (atReference[i] + AsleepExponent));
        }
    }

    /// <summary>The cones, cold to hot; progress and moments are in this order.</summary>
    public IReadOnlyList<ConeKinetics> Kinetics => kinetics;

    /// <summary>A meter that has seen nothing yet; refused for a series whose table has one rate only.</summary>
    public static Result<HeatWorkMeter> Of(ConeSeries series)
    {
        var fitted = ConeKinetics.OfSeries(series);
        return fitted.Count > 0 ? new HeatWorkMeter(fitted) : ConeKinetics.Of(series, default).Refusal!;
    }

    /// <summary>The place of a cone in the order; −1 where the series has no such cone, or it is misprinted.</summary>
    public int IndexOf(Cone cone)
    {
        for (var i = 0; i < kinetics.Count; i++)
            if (kinetics[i].Cone == cone)
                return i;
        return -1;
    }

    /// <summary>The kiln was at so many °C at that moment; later than the moment before.</summary>
    public void Add(double atSeconds, double celsius)
    {
        var duration = atSeconds - lastSeconds;
        if (started && !(duration > 0)) throw new ArgumentOutOfRangeException(nameof(atSeconds), "Time runs forward.");
        var kelvin = celsius + ConeKinetics.ZeroCelsiusK;
        if (started) Advance(kelvin, duration);
        else Begin(kelvin);
        lastSeconds = atSeconds;
        lastKelvin = kelvin;
        started = true;
    }

    /// <summary>A cone's progress: 1 is fully down, and never more than that of a softer cone.</summary>
    public double ProgressOf(int index)
    {
        var least = double.PositiveInfinity;
        for (var i = 0; i <= index; i++) least = Math.Min(least, work[i] / needed[i]);
        return least;
    }

    /// <summary>The progress of every cone, cold to hot.</summary>
    public void CopyProgress(Span<double> progress)
    {
        var least = double.PositiveInfinity;
        for (var i = 0; i < kinetics.Count; i++) progress[i] = least = Math.Min(least, work[i] / needed[i]);
    }

    /// <summary>When a cone was down, with every softer one; null while it is not, s.</summary>
    public double? DownAtSeconds(int index)
    {
        var latest = double.NegativeInfinity;
        for (var i = 0; i <= index; i++)
        {
            if (ownDown[i] is not { } moment) return null;
            latest = Math.Max(latest, moment);
        }
        return latest;
    }

    private void Begin(double kelvin)
    {
        for (var i = 0; i < speed.Length; i++) speed[i] = SpeedOf(i, kelvin);
    }

    private void Advance(double kelvin, double duration)
    {
        var climb = kelvin - lastKelvin;
        var exponentPart = Math.Abs(climb) / (kelvin * lastKelvin);
        var warmest = Math.Max(kelvin, lastKelvin);
        var anyDown = false;
        for (int i = 0, group = 0; i < activation.Length; i += Vector256<double>.Count, group++)
        {
            // What is kept of a sleeping cone's speed is as good as zero once it wakes.
            if (warmest < asleepBelowKelvin[group]) continue;
            var a = Vector256.Create(activation, i);
            var x = a * (1 / kelvin);
            var end = Vector256.Exp(Vector256.Create(atReference, i) - x);
            var begin = Vector256.Create(speed, i);
            var piece = steepest[group] * exponentPart <= ShortExponent
                ? (begin + end) * (duration / 2)
                    + a * (begin * (1 / (lastKelvin * lastKelvin)) - end * (1 / (kelvin * kelvin))) * (duration * climb / 12)
                : (end * kelvin * ArrheniusIntegral.ScaledE2(x) - begin * lastKelvin * ArrheniusIntegral.ScaledE2(a * (1 / lastKelvin)))
                    * (duration / climb);
            var before = Vector256.Create(work, i);
            var after = before + piece;
            before.CopyTo(workBefore, i);
            after.CopyTo(work, i);
            end.CopyTo(speed, i);
            var goal = Vector256.Create(needed, i) * DownAt;
            anyDown |= Vector256.GreaterThanOrEqualAny(after, goal) && Vector256.LessThanAny(before, goal);
        }
        if (anyDown) NoteDown(kelvin, duration);
    }

    private void NoteDown(double kelvin, double duration)
    {
        for (var i = 0; i < ownDown.Length; i++)
            if (ownDown[i] is null && work[i] >= needed[i] * DownAt)
                ownDown[i] = lastSeconds + duration * PartUntilDown(i, kelvin, duration);
    }

    private double PartUntilDown(int i, double kelvin, double duration)
    {
        var missing = needed[i] * DownAt - workBefore[i];
        double low = 0, high = 1;
        for (var step = 0; step < Halvings; step++)
        {
            var part = (low + high) / 2;
            if (Piece(i, lastKelvin, lastKelvin + part * (kelvin - lastKelvin), duration * part) < missing) low = part;
            else high = part;
        }
        return high;
    }

    private double Piece(int i, double from, double to, double duration)
    {
        var (begin, end, a, climb) = (SpeedOf(i, from), SpeedOf(i, to), activation[i], to - from);
        return a * Math.Abs(climb) / (from * to) <= ShortExponent
            ? (begin + end) * duration / 2 + a * (begin / (from * from) - end / (to * to)) * duration * climb / 12
            : (end * to * ArrheniusIntegral.ScaledE2(a / to) - begin * from * ArrheniusIntegral.ScaledE2(a / from)) * duration / climb;
    }

    private double SpeedOf(int i, double kelvin) => Math.Exp(atReference[i] - activation[i] / kelvin);
}
