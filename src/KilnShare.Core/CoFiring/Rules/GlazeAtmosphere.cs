namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A firing has one atmosphere; a raw layer made for another one comes out as something else, and would ask it of everybody. Where it is not known, only its own piece is at risk.</summary>
internal sealed class GlazeAtmosphere() : PieceRule(
    "glaze-atmosphere", "Common practice, no source: one atmosphere a firing; reduction glazes not in oxidation; salt and soda only with their own kind",
    "the atmospheres each raw layer is for", CoFiring.Touches.Others, CoFiring.Touches.Self)
{
    internal override bool YieldsToEvidence => true;

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        var atmosphere = load.Firing.Atmosphere;
        foreach (var layer in ware.Layers)
        {
            var stands = layer.IsRaw ? Atmospheres.Stands(layer.Glaze.Atmospheres, atmosphere) : true;
            if (stands == true) continue;
            var message = stands == false
                ? $"{layer.Glaze.Name} is for {Atmospheres.InWords(layer.Glaze.Atmospheres!)}, and this firing is {Atmospheres.InWords(atmosphere)} for everyone in it. "
                  + "It would come out as another glaze: put it into a firing of its own atmosphere."
                : $"Whether {layer.Glaze.Name} is for {Atmospheres.InWords(atmosphere)} is not known: look it up at its maker's, or fire a test tile first.";
            yield return Say(
                [ware.Id], stands == false ? CoFiring.Touches.Others : CoFiring.Touches.Self, stands == false ? Verdict.Incompatible : Verdict.Unknown, message, [],
                ("glaze", layer.Glaze.Name), ("firingAtmosphere", atmosphere),
                ("glazeAtmospheres", layer.Glaze.Atmospheres?.Select(a => Names.Camel(a)).ToArray()));
        }
    }
}
