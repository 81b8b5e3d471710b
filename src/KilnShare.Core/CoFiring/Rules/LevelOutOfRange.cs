namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A kiln is not even: what suits the firing's cone may be too hot or too cool on one of its levels.</summary>
internal sealed class LevelOutOfRange() : PieceRule(
    "level-out-of-range", "Kiln makers' manuals: about one cone from top to bottom is usual; how this kiln differs is learnt from its own witness cones",
    "witness cones of the kiln's levels", CoFiring.Touches.Kiln, CoFiring.Touches.Self)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        foreach (var misfit in LevelHeat.Misfits(load.Firing, ware))
        {
            var (level, limit) = (misfit.Level, ConeText.With(misfit.Limit, load.Firing.Series));
            var (end, then) = misfit.IsHot ? ($"goes no higher than {limit}", "hotter") : ($"wants at least {limit}", "cooler");
            yield return Say(
                [ware.Id], misfit.IsHot ? CoFiring.Touches.Kiln : CoFiring.Touches.Self, Verdict.Caution,
                $"{misfit.Of} {end}, and {level.Level} of this kiln is usually {Math.Abs(level.DifferenceC!.Value):0} °C {then} than the target, give or take "
                + $"{level.UncertaintyC:0} ({(level.Firings == 1 ? "one firing" : $"{level.Firings} firings")}): there it comes to about cone "
                    + $"{misfit.Reached}. Stand it on another level.",
                [], ("level", level.Level), ("differenceC", Math.Round(level.DifferenceC.Value, 1)), ("uncertaintyC", Math.Round(level.UncertaintyC!.Value, 1)),
                ("firings", level.Firings), ("limitCone", misfit.Limit.Name), ("levelCone", misfit.Reached.Name)).Told;
        }
    }
}
