namespace KilnShare.Core.CoFiring.Rules;

/// <summary>
/// The top of a body's range binds in every kind of firing: one cone over it is a technician's decision, beyond that the body bloats, slumps and
/// melts onto shelves.
/// </summary>
internal sealed class BodyTopCone() : PieceRule(
    "body-top-cone",
    "Published kiln-care pages (an earthenware body melts at cone 5 to 6 and ruins shelves); that one cone is decided on is common practice, no source",
    "the cone range of the body", CoFiring.Touches.Kiln)
{
    private const decimal MostStepsDecidedOn = 1m;

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (load.BodyRange(index) is not { } range || load.Firing.Cone <= range.To) yield break;
        var over = load.Firing.Cone.StepsAbove(range.To);
        var (verdict, asks, then) = over <= MostStepsDecidedOn
            ? (Verdict.Caution, Asks.Technician, "It may bloat or slump: a technician decides, or fire it cooler, in another firing.")
            : (Verdict.Incompatible, Asks.Nobody, "It would bloat, slump or melt onto the shelf: fire it cooler, in another firing.");
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, verdict,
            $"{ware.Clay.Name} goes no higher than {load.InWords(range.To, range)}, and this firing goes to {load.ConeInWords}. {then}",
            load.OtherCone(), ("bodyTopCone", range.To.Name), ("firingCone", load.Firing.Cone.Name), ("conesOver", over)) with
        { Asks = asks };
    }
}
