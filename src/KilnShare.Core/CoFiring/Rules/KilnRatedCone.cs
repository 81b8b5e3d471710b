namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A kiln is not fired above the cone its maker rates it for.</summary>
internal sealed class KilnRatedCone() : LoadRule(
    "kiln-rated-cone", Reach.Load, "Kiln makers' published manuals: the rated cone is on the plate", "the kiln's rated cone", CoFiring.Touches.Kiln)
{
    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        if (load.Firing.KilnRatedCone is not { } rated || load.Firing.Cone <= rated) yield break;
        yield return Say(
            [], CoFiring.Touches.Kiln, Verdict.Incompatible,
            $"The kiln is rated to {ConeText.With(rated, load.Firing.Series)}, and this firing goes to {load.ConeInWords}. "
            + "Above it elements and brick wear fast and may fail: fire cooler, or in a kiln rated for it.",
            load.OtherCone(), ("ratedCone", rated.Name), ("firingCone", load.Firing.Cone.Name));
    }
}
