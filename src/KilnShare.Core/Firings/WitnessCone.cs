using KilnShare.Core.Common;
using KilnShare.Core.Cones;

namespace KilnShare.Core.Firings;

/// <summary>A witness cone as it looked after the firing.</summary>
/// <param name="Level">The level it stood on, in the studio's words.</param>
/// <param name="Cone">Which cone.</param>
/// <param name="BendDegrees">How far its tip has travelled: 0 upright, 90 at its end point, more where it lies flat or has melted.</param>
public sealed record WitnessCone(string Level, Cone Cone, double BendDegrees)
{
    /// <summary>The end point of every cone. Source: the cone maker's table: 90° of travel.</summary>
    public const double EndPointDegrees = 90;

    /// <summary>Farthest that can be told.</summary>
    public const double MostDegrees = 180;
}

/// <summary>The witness cones of one firing.</summary>
/// <param name="Series">The series of all of them.</param>
/// <param name="Target">The cone the firing was to bring down.</param>
/// <param name="EndRateCPerHour">The rate over its last 100 °C, °C/h.</param>
/// <param name="Seen">What was seen.</param>
public sealed record WitnessFiring(ConeSeries Series, Cone Target, double EndRateCPerHour, IReadOnlyList<WitnessCone> Seen);

/// <summary>How much hotter or cooler than the target cone one level was, in degrees of the cone table.</summary>
/// <param name="Level">The level.</param>
/// <param name="DifferenceC">Best estimate, °C; null where the cones show one side only.</param>
/// <param name="UncertaintyC">One standard deviation of it, °C; 0 where there is no estimate.</param>
/// <param name="AtLeastC">Every cone was down: at least so much, °C; null where a cone stood.</param>
/// <param name="AtMostC">No cone had moved: at most so much, °C; null where one had.</param>
public sealed record WitnessLevel(string Level, double? DifferenceC, double UncertaintyC, double? AtLeastC, double? AtMostC);

/// <summary>Reads a level's heat off its cones.</summary>
/// <remarks>
/// Source: a cone is at its end point at its tabulated temperature, and bends over the last 15 to 25 minutes before it (the cone
/// maker's table), 20 °C at 60 °C/h; that the tip moves evenly meanwhile is common practice, no source. Production tolerance of the
/// cones: 2 °C (maker's claim).
/// </remarks>
public static class WitnessReading
{
    private const double BendingMinutes = 20;
    private const double WidestBendingC = 20;
    private const double UprightDegrees = 5;
    private const double ConeToleranceC = 2;
    private const double MinutesPerHour = 60;

    // A bend can be read to about a quarter of its whole range (common practice, no source).
    private const double BendReadingPart = 0.25;

    /// <summary>The difference of every level from the target.</summary>
    public static Result<IReadOnlyList<WitnessLevel>> Of(WitnessFiring firing)
    {
        if (!ConeTables.At(firing.Series, firing.Target, firing.EndRateCPerHour).TryGet(out var target, out var refusal)) return refusal;
        if (firing.Seen.Count == 0) return Refusal.Invalid("firings.no-witness-cones", "Write down at least one witness cone.", "/seen");
        var seen = new List<(WitnessCone Cone, double TableC)>();
        for (var i = 0; i < firing.Seen.Count; i++)
        {
            var cone = firing.Seen[i];
            if (!(cone.BendDegrees >= 0 && cone.BendDegrees <= WitnessCone.MostDegrees))
                return Refusal.Invalid(
                    "firings.bend-out-of-range", $"A bend is from 0 (upright) over 90 (end point) to {WitnessCone.MostDegrees} degrees.",
                        $"/seen/{i}/bendDegrees");
            if (!ConeTables.At(firing.Series, cone.Cone, firing.EndRateCPerHour).TryGet(out var table, out refusal))
                return refusal with { Pointer = $"/seen/{i}/cone" };
            seen.Add((cone, table.Celsius - target.Celsius));
        }
        var bendingC = Math.Min(WidestBendingC, firing.EndRateCPerHour * BendingMinutes / MinutesPerHour);
        var levels = new List<WitnessLevel>();
        foreach (var level in seen.GroupBy(s => s.Cone.Level, StringComparer.Ordinal))
            if (Level(level.Key, [.. level], bendingC) is { } read) levels.Add(read);
            else return Contradiction(level.Key);
        return levels;
    }

    // Null where a harder cone is down beside a softer one that stands.
    private static WitnessLevel? Level(string level, List<(WitnessCone Cone, double TableC)> seen, double bendingC)
    {
        double? atLeast = null, atMost = null;
        var bending = new List<double>();
        foreach (var (cone, tableC) in seen)
            if (cone.BendDegrees >= WitnessCone.EndPointDegrees) atLeast = Math.Max(atLeast ?? double.NegativeInfinity, tableC);
            else if (cone.BendDegrees < UprightDegrees) atMost = Math.Min(atMost ?? double.PositiveInfinity, tableC - bendingC);
            else bending.Add(tableC - (1 - cone.BendDegrees / WitnessCone.EndPointDegrees) * bendingC);
        if (ConesContradict(seen)) return null;
        if (bending.Count > 0)
            return new WitnessLevel(level, bending.Average(), Both(BendReadingPart * bendingC, ConeToleranceC), null, null);
        if (atLeast is { } low && atMost is { } high)
            return new WitnessLevel(level, (low + high) / 2, Both(Math.Abs(high - low) / Math.Sqrt(12), ConeToleranceC), null, null);
        return new WitnessLevel(level, null, 0, atLeast, atMost);
    }

    private static bool ConesContradict(List<(WitnessCone Cone, double TableC)> seen)
    {
        var softToHard = seen.OrderBy(s => s.Cone.Cone).ToList();
        for (var i = 1; i < softToHard.Count; i++)
            if (softToHard[i].Cone.BendDegrees >= WitnessCone.EndPointDegrees && softToHard[i - 1].Cone.BendDegrees < UprightDegrees)
                return true;
        return false;
    }

    private static double Both(double a, double b) => Math.Sqrt(a * a + b * b);

    private static Refusal Contradiction(string level) => Refusal.Rule(
        "firings.witness-cones-contradict",
        $"On {level} a harder cone is down while a softer one stands: that cannot be. Look at the numbers pressed into "
            + "the cones; they may have been mixed up.",
        "/seen");
}
