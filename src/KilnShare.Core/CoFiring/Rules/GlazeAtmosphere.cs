namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A firing has one atmosphere; a raw layer made for another one comes out as something else, which is its own member's matter.</summary>
internal sealed class GlazeAtmosphere() : PieceRule(
    "glaze-atmosphere", "Common practice, no source: one atmosphere a firing; reduction glazes not in oxidation; salt and soda only with their own kind",
    "the atmospheres each raw layer is for", CoFiring.Touches.Self)
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
                ? $"{layer.Glaze.Name} is for {Atmospheres.InWords(layer.Glaze.Atmospheres!)}, and this firing is {Atmospheres.InWords(atmosphere)}. "
                  + "It comes out as another glaze: put it into a firing of its own atmosphere, or accept that."
                : $"Whether {layer.Glaze.Name} is for {Atmospheres.InWords(atmosphere)} is not known: look it up at its maker's, or fire a test tile first.";
            yield return Say(
                [ware.Id], CoFiring.Touches.Self, stands == false ? Verdict.Caution : Verdict.Unknown, message, [],
                ("glaze", layer.Glaze.Name), ("firingAtmosphere", atmosphere),
                ("glazeAtmospheres", layer.Glaze.Atmospheres?.Select(a => Names.Camel(a)).ToArray()));
        }
    }
}
