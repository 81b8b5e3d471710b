using KilnShare.Core.CoFiring;
using KilnShare.Core.Materials;
using static KilnShare.Core.Tests.CoFiring.Samples;

namespace KilnShare.Core.Tests.CoFiring;

/// <summary>Figures of EU 84/500/EEC and FDA CPG 545.400/450, 4 % acetic acid, 24 hours.</summary>
public sealed class ReleaseLimitTests
{
    [Theory]
    [InlineData(FoodWareCategory.Flatware, "EU 84/500/EEC", ReleaseUnit.MgPerDm2, 0.8, 0.07)]
    [InlineData(FoodWareCategory.SmallHollow, "EU 84/500/EEC", ReleaseUnit.MgPerLitre, 4.0, 0.3)]
    [InlineData(FoodWareCategory.LargeHollow, "EU 84/500/EEC", ReleaseUnit.MgPerLitre, 4.0, 0.3)]
    [InlineData(FoodWareCategory.CupOrMug, "EU 84/500/EEC", ReleaseUnit.MgPerLitre, 4.0, 0.3)]
    [InlineData(FoodWareCategory.CookingOrStorage, "EU 84/500/EEC", ReleaseUnit.MgPerLitre, 1.5, 0.1)]
    [InlineData(FoodWareCategory.Flatware, "FDA CPG 545.400/450", ReleaseUnit.MgPerLitre, 3.0, 0.5)]
    [InlineData(FoodWareCategory.SmallHollow, "FDA CPG 545.400/450", ReleaseUnit.MgPerLitre, 2.0, 0.5)]
    [InlineData(FoodWareCategory.LargeHollow, "FDA CPG 545.400/450", ReleaseUnit.MgPerLitre, 1.0, 0.25)]
    [InlineData(FoodWareCategory.CupOrMug, "FDA CPG 545.400/450", ReleaseUnit.MgPerLitre, 0.5, 0.5)]
    public void A_limit_is_as_published_and_is_met_at_it_and_exceeded_above_it(
        FoodWareCategory category, string whose, ReleaseUnit unit, double lead, double cadmium)
    {
        Assert.Contains(
            (whose, unit, (decimal)lead, (decimal)cadmium), ReleaseLimits.For(category).Select(limit => (limit.Of, limit.Unit, limit.Lead, limit.Cadmium)));
        Assert.False(IsOver(whose, category, unit, (decimal)lead, (decimal)cadmium));
        Assert.True(IsOver(whose, category, unit, (decimal)lead + 0.001m, 0m));
        Assert.True(IsOver(whose, category, unit, 0m, (decimal)cadmium + 0.001m));
    }

    [Theory]
    [InlineData(FoodWareCategory.CupOrMug, ReleaseUnit.MgPerLitre, 0.1, 0.01, Verdict.Caution)]
    [InlineData(FoodWareCategory.CupOrMug, ReleaseUnit.MgPerLitre, 0.6, 0.01, Verdict.Incompatible)]
    [InlineData(FoodWareCategory.CupOrMug, ReleaseUnit.MgPerDm2, 0.1, 0.01, Verdict.Unknown)]
    [InlineData(FoodWareCategory.Flatware, ReleaseUnit.MgPerDm2, 0.1, null, Verdict.Unknown)]
    public void Use_is_never_compatible_whatever_the_laboratory_says(FoodWareCategory category, ReleaseUnit unit, double lead, double? cadmium, Verdict use)
    {
        var ware = Bisqued("a").ForFood() with { Release = new ReleaseReport(category, unit, (decimal)lead, (decimal?)cadmium) };
        var answer = Glaze6.Check(ware);
        Assert.Equal(use, answer.Pieces[0].Use);
        Assert.Null(answer.Find("food-release-not-measured"));
    }

    // EU 84/500/EEC, article 2(5), from memory: up to half over, with three further articles that keep the limit on average and none over by more than half.
    [Theory]
    [InlineData(6.0, new[] { 3.0, 4.0, 5.0 }, false)]
    [InlineData(6.1, new[] { 3.0, 4.0, 5.0 }, true)]
    [InlineData(6.0, new[] { 4.0, 4.0, 4.1 }, true)]
    [InlineData(6.0, new[] { 1.0, 1.0, 6.1 }, true)]
    [InlineData(6.0, new[] { 4.0, 4.0 }, true)]
    public void Further_articles_alike_speak_for_one_that_is_half_over_at_the_most(double lead, double[] further, bool isOver)
    {
        var report = new ReleaseReport(FoodWareCategory.SmallHollow, ReleaseUnit.MgPerLitre, (decimal)lead, 0.1m)
        {
            Further = [.. further.Select(one => new ReleaseFigures((decimal)one, 0.1m))],
        };
        var over = (string[])Glaze6.Check(Bisqued("a").ForFood() with { Release = report }).Find("food-release-figures")!.Values["over"]!;
        Assert.Equal(isOver, over.Contains("EU 84/500/EEC", StringComparer.Ordinal));
        // The other rule knows no such clause.
        Assert.Contains("FDA CPG 545.400/450", over);
    }

    private static bool IsOver(string whose, FoodWareCategory category, ReleaseUnit unit, decimal lead, decimal cadmium)
    {
        var ware = Bisqued("a").ForFood() with { Release = new ReleaseReport(category, unit, lead, cadmium) };
        return ((string[])Glaze6.Check(ware).Find("food-release-figures")!.Values["over"]!).Contains(whose, StringComparer.Ordinal);
    }
}
