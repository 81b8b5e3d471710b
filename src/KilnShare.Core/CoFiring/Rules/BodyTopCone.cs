namespace KilnShare.Core.CoFiring.Rules;

/// <summary>The top of a body's range is a hard limit, in every kind of firing: above it the body bloats, slumps and melts onto shelves.</summary>
internal sealed class BodyTopCone() : PieceRule(
    "body-top-cone",
    "Published kiln-care pages (an earthenware body melts at cone 5 to 6 and ruins shelves); the hard limit is common practice, no source",
    "the cone range of the body", CoFiring.Touches.Kiln)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        var range = ware.Clay.Cones;
        if (!load.Bounds(index)[0].IsComparable(load.Firing.Series) || load.Firing.Cone <= range.To) yield break;
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, Verdict.Incompatible,
            $"{ware.Clay.Name} goes no higher than {load.InWords(range.To, range)}, and this firing goes to {load.ConeInWords}. "
            + "It would bloat, slump or melt onto the shelf: fire it cooler, in another firing.",
            load.OtherCone(),
            ("bodyTopCone", range.To.Name), ("firingCone", load.Firing.Cone.Name), ("conesOver", load.Firing.Cone.Order - range.To.Order));
    }
}
