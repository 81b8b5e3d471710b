namespace KilnShare.Core.CoFiring.Rules;

/// <summary>
/// A body stands some atmospheres and not others: iron reduced in it makes it bloat, salt eats into it. Every body stands plain air, so that
/// nothing is asked there.
/// </summary>
internal sealed class BodyAtmosphere() : PieceRule(
    "body-atmosphere", "From memory: red iron oxide reduces at 1230 to 1250 °C, bloating risk; salt and soda only with their own kind: common practice",
    "the atmospheres the body stands", CoFiring.Touches.Kiln)
{
    internal override bool YieldsToEvidence => true;

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        var atmosphere = load.Firing.Atmosphere;
        if (!Atmospheres.CountsForBody(load.Firing.Kind, atmosphere)) yield break;
        var stands = Atmospheres.Stands(ware.Clay.Atmospheres, atmosphere);
        if (stands ?? atmosphere is Materials.Atmosphere.Oxidation or Materials.Atmosphere.Neutral) yield break;
        var message = stands == false
            ? $"{ware.Clay.Name} is for {Atmospheres.InWords(ware.Clay.Atmospheres!)}, and this firing is {Atmospheres.InWords(atmosphere)}. "
              + "It may bloat or flux onto the shelf: put it into a firing of its own atmosphere."
            : $"Whether {ware.Clay.Name} stands {Atmospheres.InWords(atmosphere)} is not known: look it up at its maker's, or ask a technician.";
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, stands == false ? Verdict.Incompatible : Verdict.Unknown, message, [],
            ("firingAtmosphere", atmosphere), ("bodyAtmospheres", ware.Clay.Atmospheres?.Select(a => Names.Camel(a)).ToArray()));
    }
}
