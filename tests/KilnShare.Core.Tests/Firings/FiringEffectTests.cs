using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using NodaTime;

namespace KilnShare.Core.Tests.Firings;

/// <summary>What firings do to ware. Common practice, no source, but for the temperatures that are named.</summary>
public sealed class FiringEffectTests
{
    private static readonly Instant Unloaded = Instant.FromUtc(2026, 3, 15, 9, 0);
    private static readonly ConeRange MidRange = new(Cone.Parse("5"), Cone.Parse("6"));
    private static readonly ConeRange Wide = new(Cone.Parse("04"), Cone.Parse("6"));

    private static CopyState Green => new(Stage.Greenware, 0) { Dryness = Dryness.LeatherHard };

    private static CopyState Bisqued => new(Stage.Bisque, 1) { BisquedAt = Cone.Parse("04") };

    [Fact]
    public void A_sound_bisque_is_at_its_cone_with_its_underglaze_fired()
    {
        var after = On(Green, [Wide], FiringKind.Bisque, "06", FiringOutcome.Sound, null);
        Assert.Equal((Stage.Bisque, 1, "06", "06"), (after.Stage, after.Step, after.BisquedAt?.Name, after.LayersFiredAt.Single().Name));
    }

    // Source: sintering begins at 800–900 °C (American Ceramic Society kiln firing chart, 2005). Cone 012 is down at 843 °C at 15 °C/h (the cone
    // maker's table, 2016).
    [Fact]
    public void A_bisque_that_fell_short_is_bisque_at_the_cone_it_reached_where_it_sintered()
    {
        var after = On(Green, [MidRange], FiringKind.Bisque, "06", FiringOutcome.Short, Heat("012"));
        Assert.Equal((Stage.Bisque, 1, "012"), (after.Stage, after.Step, after.BisquedAt?.Name));
        Assert.Empty(after.LayersFiredAt);
    }

    [Fact]
    public void A_bisque_that_did_not_sinter_leaves_greenware_to_be_bisqued_again_and_dry()
    {
        var after = On(Green, [], FiringKind.Bisque, "06", FiringOutcome.Aborted, new HeatReached(null, 640, HeatBasis.Log));
        Assert.Equal((Stage.Greenware, 0, Dryness.Dry, Unloaded), (after.Stage, after.Step, after.Dryness, after.DrySince));
        Assert.Null(after.BisquedAt);
    }

    [Theory]
    [InlineData(60.0)]
    [InlineData(null)]
    public void A_firing_broken_off_before_anything_happened_leaves_greenware_as_damp_as_it_was(double? peakC)
    {
        var heat = peakC is { } peak ? new HeatReached(null, peak, HeatBasis.Word) : null;
        Assert.Equal(Green, On(Green, [], FiringKind.Bisque, "06", FiringOutcome.Aborted, heat));
        Assert.Equal(Bisqued, On(Bisqued, [MidRange], FiringKind.Glaze, "6", FiringOutcome.Aborted, heat));
    }

    [Fact]
    public void A_glaze_firing_short_of_a_glaze_leaves_it_raw_and_the_step_to_be_done_again()
    {
        var after = On(Bisqued, [MidRange], FiringKind.Glaze, "6", FiringOutcome.Short, Heat("1"));
        Assert.Equal(Bisqued, after);
    }

    [Fact]
    public void A_glaze_firing_short_of_its_cone_but_not_of_a_glaze_has_fired_that_glaze_at_the_cone_reached()
    {
        var after = On(Bisqued, [MidRange], FiringKind.Glaze, "6", FiringOutcome.Short, Heat("5"));
        Assert.Equal((Stage.Glazed, 2, "5"), (after.Stage, after.Step, after.LayersFiredAt.Single().Name));
    }

    [Fact]
    public void Coats_are_fired_from_the_lowest_up_to_the_first_that_was_not()
    {
        var after = On(Bisqued, [Wide, MidRange, Wide], FiringKind.Glaze, "6", FiringOutcome.Aborted, Heat("1"));
        Assert.Equal((Stage.Bisque, 1), (after.Stage, after.Step));
        Assert.Equal(["1"], after.LayersFiredAt.Select(c => c.Name));
    }

    [Fact]
    public void A_range_in_another_series_of_cones_tells_nothing() => Assert.Equal(
        Bisqued, On(Bisqued, [new ConeRange(Cone.Parse("5"), Cone.Parse("6"), ConeSeries.Large)], FiringKind.Glaze, "6", FiringOutcome.Short, Heat("5")));

    [Fact]
    public void Greenware_in_a_single_firing_that_only_sintered_is_bisque_with_its_glaze_raw()
    {
        var after = On(Green, [MidRange], FiringKind.SingleFire, "6", FiringOutcome.Aborted, Heat("08"));
        Assert.Equal((Stage.Bisque, 0, "08"), (after.Stage, after.Step, after.BisquedAt?.Name));
        Assert.Empty(after.LayersFiredAt);
    }

    [Fact]
    public void Bare_ware_is_not_matured_by_a_firing_that_fell_short() =>
        Assert.Equal(Bisqued, On(Bisqued, [], FiringKind.Glaze, "6", FiringOutcome.Short, Heat("4")));

    [Fact]
    public void A_firing_that_went_over_has_fired_everything_at_the_cone_it_reached()
    {
        Assert.Equal("8", On(Bisqued, [MidRange], FiringKind.Glaze, "6", FiringOutcome.Over, Heat("8")).LayersFiredAt.Single().Name);
        Assert.Equal("6", On(Bisqued, [MidRange], FiringKind.Glaze, "6", FiringOutcome.Over, null).LayersFiredAt.Single().Name);
    }

    [Fact]
    public void A_firing_said_to_be_short_whose_cone_came_down_did_its_step() =>
        Assert.Equal((Stage.Glazed, 2), (On(Bisqued, [], FiringKind.Glaze, "6", FiringOutcome.Short, Heat("6")).Stage, On(
            Bisqued, [], FiringKind.Glaze, "6", FiringOutcome.Short, Heat("6")).Step));

    [Fact]
    public void Witness_cones_are_believed_before_the_log_and_a_technician_before_both()
    {
        WitnessCone[] seen = [new(
            "top", Cone.Parse("6"), 90), new("top", Cone.Parse("5"), 120), new("bottom", Cone.Parse("4"), 95), new("bottom", Cone.Parse("5"), 20)];
        var log = HeatWork.Of(ConeSeries.SelfSupporting, TemperatureHistory.Of([0, 72_120], [20, 1222]).Value).Value;
        Assert.Equal((HeatBasis.Log, "6"), (HeatReached.Of(null, [], log)!.Basis, HeatReached.Of(null, [], log)!.Cone?.Name));
        var byCones = HeatReached.Of(null, seen, log)!;
        Assert.Equal((HeatBasis.WitnessCones, "4", 1222.0), (byCones.Basis, byCones.Cone?.Name, byCones.PeakC));
        Assert.Equal("3", HeatReached.Of(new HeatReached(Cone.Parse("3"), null, HeatBasis.Word), seen, log)!.Cone?.Name);
        Assert.Null(HeatReached.Of(null, [], null));
        // A level where no cone is down shows no cone for all.
        Assert.Equal(HeatBasis.Log, HeatReached.Of(null, [.. seen, new("middle", Cone.Parse("4"), 0)], log)!.Basis);
    }

    private static HeatReached Heat(string cone) => new(Cone.Parse(cone), null, HeatBasis.Word);

    private static CopyState On(CopyState before, ConeRange[] coats, FiringKind kind, string cone, FiringOutcome outcome, HeatReached? heat) => FiringEffect.On(
        before, coats, new FiringAim(kind, Cone.Parse(cone), ConeSeries.SelfSupporting, Atmosphere.Oxidation), outcome, heat, Unloaded);
}
