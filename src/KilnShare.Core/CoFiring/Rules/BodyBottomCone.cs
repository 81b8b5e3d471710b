namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Where a firing is to mature the body and stays below its range, the ware comes out weak and porous.</summary>
internal sealed class BodyBottomCone() : PieceRule(
    "body-bottom-cone", "Published clay makers' ranges; what happens below them: common practice, no source", "the cone range of the body",
    CoFiring.Touches.Self)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (!load.Firing.Matures || load.BodyRange(index) is not { } range || load.Firing.Cone >= range.From) yield break;
        yield return Say(
            [ware.Id], CoFiring.Touches.Self, Verdict.Caution,
            $"{ware.Clay.Name} matures from {load.InWords(range.From, range)} on, and this firing stops at {load.ConeInWords}. "
            + "It would stay weak and porous, and its glaze may craze: fire it hotter, in another firing, or accept that.",
            load.OtherCone(), ("bodyBottomCone", range.From.Name), ("firingCone", load.Firing.Cone.Name),
            ("conesUnder", range.From.StepsAbove(load.Firing.Cone)));
    }
}
