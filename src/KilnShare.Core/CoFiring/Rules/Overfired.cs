using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>What becomes of a coat above the top of its range.</summary>
/// <remarks>
/// Source: published kiln-care pages: one or two cones over, gloss and flow; two or three over, sticking to the shelf. That three whole cones make
/// any glaze liquid, and that colours under the glaze only change, is common practice, no source.
/// </remarks>
internal static class Overfired
{
    private const decimal LiquidFromSteps = 3m;

    /// <summary>Whom it touches, how bad it is, and what happens.</summary>
    public static (Touches Touches, Verdict Verdict, string Then) Judge(FiringPlan firing, ConeBound bound)
    {
        var glaze = bound.Layer!.Glaze;
        if (StaysUnderGlaze(glaze))
            return (Touches.Self, Verdict.Unknown, "Its colour and gloss up there are not known: fire a test tile, or take it as a test.");
        if (firing.Cone.StepsAbove(bound.Range.To) >= LiquidFromSteps)
            return (Touches.Others, Verdict.Incompatible,
                "So far above its range it is liquid, whatever it does at its own cone, and runs onto shelf and neighbours: fire it cooler, in "
                    + "another firing.");
        return glaze.Movement switch
        {
            Movement.Stable => (Touches.Kiln, Verdict.Caution, "It stays put but comes out glossier, thinner or bleached: try it on a test first."),
            Movement.Moves or Movement.Runs =>
                (Touches.Kiln, Verdict.Incompatible, "It would run onto the shelf and its neighbours: fire it cooler, in another firing."),
            _ => (Touches.Kiln, Verdict.Unknown, "Whether it would run onto the shelf is not known: ask a technician, or fire a test on a catcher first."),
        };
    }

    /// <summary>Underglaze and engobe stay put above their range, unless they are said to move.</summary>
    public static bool StaysUnderGlaze(Glaze glaze) =>
        glaze.Kind is GlazeKind.Underglaze or GlazeKind.Engobe && glaze.Movement is not (Movement.Moves or Movement.Runs);
}
