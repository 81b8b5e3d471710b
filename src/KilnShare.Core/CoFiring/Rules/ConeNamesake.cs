using KilnShare.Core.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>06 is not 6: where the cone that is the same but for the leading zero would suit better, somebody may have meant that one.</summary>
internal sealed class ConeNamesake() : LoadRule(
    RuleName, Reach.Load,
    "Published kiln-care pages: 06 taken for 6 is the classic accident; the usual cones of a kind of firing from kiln makers' published manuals; that a "
        + "technician is asked is common practice, no source",
    "the ranges of the ware, the kind of firing, its schedule and the kiln's earlier firings", CoFiring.Touches.Kiln)
{
    /// <summary>Its name.</summary>
    public const string RuleName = "cone-namesake";

    private const int FiringsThatTell = 3;

    private static readonly ConeRange UsualBisque = new(Cone.Parse("010"), Cone.Parse("04"));
    private static readonly ConeRange UsualSetting = new(Cone.Parse("010"), Cone.Parse("02"));

    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        var firing = load.Firing;
        if (firing.ConeIsMeant || firing.Cone.Namesake is not { } other || firing.KilnRatedCone < other) yield break;
        if (Better(load, other) is not { } because) yield break;
        yield return Say(
            [], CoFiring.Touches.Kiln, Verdict.Unknown,
            $"{ConeText.Beginning(firing.Cone, firing.Series)}; {ConeText.Short(other, firing.Series)}: which is meant? {because} "
            + "A technician should look at the firing, and change the cone or say that it is meant.",
            [Cure.Fire(other)], ("firingCone", firing.Cone.Name), ("otherCone", other.Name));
    }

    private static string? Better(CheckedLoad load, Cone other)
    {
        var firing = load.Firing;
        var (here, there) = (Suited(load, firing.Cone).Count, Suited(load, other).Count);
        if (there > here) return $"{other} suits {there} of {load.Pieces.Count} pieces here, {firing.Cone} suits {here}.";
        if (firing.Schedule is { } schedule && IsNearer(firing, schedule.PeakC, other))
            return $"The schedule goes to {schedule.PeakC:0} °C ({TemperatureUnits.ToFahrenheit(schedule.PeakC):0} °F): that belongs to {other}.";
        return firing.EarlierCones.Count(cone => cone == other) >= FiringsThatTell && !firing.EarlierCones.Contains(firing.Cone)
            ? $"This kiln's earlier firings of this kind went to {other}, and none to {firing.Cone}." : null;
    }

    /// <summary>The pieces that a cone suits in this kind of firing.</summary>
    public static List<int> Suited(CheckedLoad load, Cone cone) => load.Where(i => Suits(load, i, cone));

    private static bool Suits(CheckedLoad load, int piece, Cone cone)
    {
        foreach (var bound in load.Bounds(piece))
            if (!bound.IsComparable(load.Firing.Series) || cone.Order < bound.Span.First || cone.Order > bound.Span.Last) return false;
        return load.Firing.Kind switch
        {
            FiringKind.Bisque => load.Pieces[piece].Clay.BisqueCones is not null || UsualBisque.Holds(cone),
            FiringKind.UnderglazeSet => UsualSetting.Holds(cone),
            _ => true,
        };
    }

    private static bool IsNearer(FiringPlan firing, double peakC, Cone other) =>
        ConeText.At(firing.Series, firing.Cone) is { } its && ConeText.At(firing.Series, other) is { } others
        && Math.Abs(peakC - others.Celsius) < Math.Abs(peakC - its.Celsius);
}
