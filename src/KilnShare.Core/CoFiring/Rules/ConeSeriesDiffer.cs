using KilnShare.Core.Cones;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Cone numbers of different series do not mean the same heat and are never converted; where the tables agree, that is noted.</summary>
internal sealed class ConeSeriesDiffer() : PieceRule(
    "cone-series-differ", "Published cone tables, 2016 edition: one number, other temperatures in each series", "the series of each cone range",
    CoFiring.Touches.Kiln)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        var others = load.Bounds(index).ToArray().Where(bound => !bound.IsComparable(load.Firing.Series)).ToArray();
        if (others.Length == 0)
        {
            if (Alike(load, index) is { } note) yield return note;
            yield break;
        }

        var names = others.Select(bound => bound.Layer?.Glaze.Name ?? ware.Clay.Name).Distinct(StringComparer.Ordinal).ToArray();
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, Verdict.Unknown,
            $"The range of {string.Join(", ", names)} is given in {ConeText.Of(others[0].Range.Series!.Value)} cones and this firing in "
                + $"{ConeText.Of(load.Firing.Series)} cones. "
            + "The numbers do not mean the same heat and are not converted: ask the maker for the range in this firing's cones.",
            load.OtherSeries, ("firingSeries", load.Firing.Series), ("rangeSeries", others[0].Range.Series), ("materials", names));
    }

    private Finding? Alike(CheckedLoad load, int index)
    {
        var series = load.Bounds(index).ToArray().Select(bound => bound.Range.Series).OfType<ConeSeries>().FirstOrDefault(load.Firing.Series);
        return series == load.Firing.Series ? null : Say(
            [load.Pieces[index].Id], CoFiring.Touches.Kiln, Verdict.Compatible,
            $"A range is given in {ConeText.Of(series)} cones and this firing in {ConeText.Of(load.Firing.Series)} cones; "
            + $"at these cones their tables are within {SeriesLikeness.AlikeWithinC:0} °C of each other, so they are compared.",
            [], ("firingSeries", load.Firing.Series), ("rangeSeries", series));
    }
}
