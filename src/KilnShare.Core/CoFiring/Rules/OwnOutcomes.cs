namespace KilnShare.Core.CoFiring.Rules;

/// <summary>What went wrong in two of the studio's own firings will go wrong again.</summary>
internal sealed class OwnOutcomes() : PieceRule(
    "own-outcomes", "The studio's own outcomes; that two firings are wanted before trusting one is common practice, no source",
    "how the same clay, glaze and coats came out of firings like this one", CoFiring.Touches.Kiln, CoFiring.Touches.Self)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        foreach (var layer in ware.Layers)
        {
            if (!layer.IsRaw || load.Evidence.Of(load.Firing, ware, layer) is not { Length: > 0 } of) continue;
            if (ware.OnCatcher != true && EvidenceBook.Repeated(of, one => one.Stuck > 0)) yield return Stuck(ware, layer, of);
            if (EvidenceBook.Repeated(of, one => one.Spoilt > 0)) yield return Spoilt(ware, layer, of);
        }
    }

    private Finding Stuck(Ware ware, Layer layer, EvidenceFiring[] of) => Say(
        [ware.Id], CoFiring.Touches.Kiln, Verdict.Incompatible,
        $"{of.Sum(one => one.Stuck)} of {All(of)} pieces of {ware.Clay.Name} under {layer.Glaze.Name}, {layer.Coats} coats, ran onto the shelf or their "
            + $"neighbours "
        + $"in {of.Count(one => one.Stuck > 0)} of this studio's firings like it. Stand it on a catcher, or fire it cooler.",
        [Cure.To(CureChange.Catcher, ware)],
        ("glaze", layer.Glaze.Name), ("stuckPieces", of.Sum(one => one.Stuck)), ("pieces", All(of)), ("firings", of.Length));

    private Finding Spoilt(Ware ware, Layer layer, EvidenceFiring[] of) => Say(
        [ware.Id], CoFiring.Touches.Self, Verdict.Caution,
        $"{of.Sum(one => one.Spoilt)} of {All(of)} pieces of {ware.Clay.Name} under {layer.Glaze.Name}, {layer.Coats} coats, came out wrong "
        + $"in {of.Count(one => one.Spoilt > 0)} of this studio's firings like it. Look at how they came out before you fire another.",
        [], ("glaze", layer.Glaze.Name), ("spoiltPieces", of.Sum(one => one.Spoilt)), ("pieces", All(of)), ("firings", of.Length));

    private static int All(EvidenceFiring[] of) => of.Sum(one => one.Sound + one.Spoilt + one.Stuck);
}
