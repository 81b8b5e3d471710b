namespace KilnShare.Core.Cones;

/// <summary>Which cones of two series mean nearly the same heat. Cones are never converted; where they are alike, ranges may be compared.</summary>
public static class SeriesLikeness
{
    /// <summary>
    /// Cones of two series are read alike where their published temperatures differ by no more, °C (common practice, no source; the maker claims ±2
    /// °C for each).
    /// </summary>
    public const double AlikeWithinC = 3;

    private static readonly HashSet<(ConeSeries, ConeSeries, Cone)> Alike = Find();

    /// <summary>True where the cone's temperatures in both series' tables differ by 3 °C at most at every rate that both list.</summary>
    public static bool IsAlike(ConeSeries one, ConeSeries other, Cone cone) => one == other || Alike.Contains((one, other, cone));

    private static HashSet<(ConeSeries, ConeSeries, Cone)> Find()
    {
        var alike = new HashSet<(ConeSeries, ConeSeries, Cone)>();
        foreach (var one in Enum.GetValues<ConeSeries>())
            foreach (var other in Enum.GetValues<ConeSeries>())
            {
                var rates = ConeTables.TabulatedRatesCPerHour(one).Intersect(ConeTables.TabulatedRatesCPerHour(other)).ToList();
                if (one == other || rates.Count == 0) continue;
                foreach (var cone in Cone.All)
                    if (rates.TrueForAll(rate => DifferenceC(one, other, cone, rate) <= AlikeWithinC)) alike.Add((one, other, cone));
            }

        return alike;
    }

    private static double DifferenceC(ConeSeries one, ConeSeries other, Cone cone, double rateCPerHour) =>
        ConeTables.At(one, cone, rateCPerHour).TryGet(out var a, out _) && ConeTables.At(other, cone, rateCPerHour).TryGet(out var b, out _)
            ? Math.Abs(a.Celsius - b.Celsius) : double.PositiveInfinity;
}
