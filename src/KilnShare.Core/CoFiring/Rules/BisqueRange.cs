using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A bisque too cool leaves ware weak and gassy, one too hot leaves it too dense to take glaze.</summary>
internal sealed class BisqueRange() : PieceRule(
    "bisque-range", "Kiln makers' published manuals: bisque at cone 010 to 04", "the bisque range of the body", CoFiring.Touches.Self)
{
    private static readonly ConeRange Usual = new(Cone.Parse("010"), Cone.Parse("04"));

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        var firing = load.Firing;
        if (firing.Kind != FiringKind.Bisque || ware.Stage != Stage.Greenware) yield break;
        var range = ware.Clay.BisqueCones ?? Usual;
        if ((range.Series is { } series && series != firing.Series) || range.Holds(firing.Cone)) yield break;
        var whose = ware.Clay.BisqueCones is null ? $"The bisque range of {ware.Clay.Name} is not known; usual is" : $"{ware.Clay.Name} is to be bisqued at";
        var then = firing.Cone < range.From
            ? "Cooler, it stays weak and keeps gas that can pinhole the glaze: bisque it hotter, or accept that."
            : "Hotter, it grows too dense to take up glaze: bisque it cooler, or accept that.";
        yield return Say(
            [ware.Id], CoFiring.Touches.Self, Verdict.Caution,
            $"{whose} {load.InWords(range.From, range)} to {load.InWords(range.To, range)}, and this bisque goes to {load.ConeInWords}. {then}",
            Cures(load, range), ("fromCone", range.From.Name), ("toCone", range.To.Name), ("firingCone", firing.Cone.Name));
    }

    private static Cure[] Cures(CheckedLoad load, ConeRange range)
    {
        var window = load.Window.And(load.Firing.KilnSpan).And(new ConeSpan(range.From.Order, range.To.Order));
        return window.IsEmpty ? [] : [Cure.Fire(window.Nearest(load.Firing.Cone))];
    }
}
