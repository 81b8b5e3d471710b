namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Cone numbers of different series do not mean the same heat and are never converted.</summary>
internal sealed class ConeSeriesDiffer() : PieceRule(
    "cone-series-differ", "Published cone tables, 2016 edition: one number, other temperatures in each series", "the series of each cone range",
    CoFiring.Touches.Kiln)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        var others = load.Bounds(index).ToArray().Where(bound => !bound.IsComparable(load.Firing.Series)).ToArray();
        if (others.Length == 0) yield break;
        var names = others.Select(bound => bound.Layer?.Glaze.Name ?? ware.Clay.Name).Distinct(StringComparer.Ordinal).ToArray();
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, Verdict.Unknown,
            $"The range of {string.Join(", ", names)} is given in {ConeText.Of(others[0].Range.Series!.Value)} cones and this firing in {ConeText.Of(load.Firing.Series)} cones. "
            + "The numbers do not mean the same heat and are not converted: ask the maker for the range in this firing's cones.",
            load.OtherSeries, ("firingSeries", load.Firing.Series), ("rangeSeries", others[0].Range.Series), ("materials", names));
    }
}
