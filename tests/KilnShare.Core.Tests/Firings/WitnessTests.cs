using CsCheck;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Core.Tests.Firings;

// Cone temperatures: the maker's table (2016), self-supporting, 60 °C/h: 5 1186, 5½ 1203, 6 1222, 7 1239.
public sealed class WitnessTests
{
    [Fact]
    public void A_cone_just_down_beside_one_not_begun_puts_the_level_between_them()
    {
        // 6 down: at least 1222; 7 upright: at most 1239 less the 20 °C over which it bends; the two meet within the cones' tolerance.
        var level = Single(new("middle", Cone.Parse("6"), 90), new("middle", Cone.Parse("7"), 0));
        Assert.Equal((0 + (1239 - 20 - 1222)) / 2.0, level.DifferenceC!.Value, 9);
        Assert.InRange(level.UncertaintyC, 2, 3);
    }

    [Fact]
    public void A_cone_half_bent_was_half_its_bending_short()
    {
        // The cone maker's table: bending takes 15 to 25 minutes; 20 minutes at 60 °C/h are 20 °C, half of it 10.
        var level = Single(new WitnessCone("middle", Cone.Parse("6"), 45));
        Assert.Equal(-10, level.DifferenceC!.Value, 9);
        Assert.InRange(level.UncertaintyC, 5, 6);
    }

    [Fact]
    public void A_pack_with_its_guide_down_and_guard_standing_reads_by_the_firing_cone()
    {
        var level = Single(new("top", Cone.Parse("5"), 120), new("top", Cone.Parse("6"), 60), new("top", Cone.Parse("7"), 0));
        Assert.Equal(-20.0 / 3, level.DifferenceC!.Value, 9);
    }

    [Fact]
    public void All_down_is_at_least_and_none_moved_is_at_most()
    {
        var hot = Single(new("top", Cone.Parse("5"), 90), new("top", Cone.Parse("7"), 180));
        Assert.Null(hot.DifferenceC);
        Assert.Equal(1239 - 1222, hot.AtLeastC);
        Assert.Null(hot.AtMostC);
        var cold = Single(new("top", Cone.Parse("5"), 0), new("top", Cone.Parse("7"), 0));
        Assert.Equal(1186 - 20 - 1222, cold.AtMostC);
        Assert.Null(cold.AtLeastC);
    }

    [Fact]
    public void A_hard_cone_down_beside_a_soft_one_standing_is_refused() =>
        Assert.Equal("firings.witness-cones-contradict", Read(new("top", Cone.Parse("5"), 0), new("top", Cone.Parse("7"), 90)).Refusal!.Code);

    [Theory]
    [InlineData(-1)]
    [InlineData(181)]
    [InlineData(double.NaN)]
    public void A_bend_that_cannot_be_is_refused(double degrees) =>
        Assert.Equal("firings.bend-out-of-range", Read(new WitnessCone("top", Cone.Parse("6"), degrees)).Refusal!.Code);

    [Fact]
    public void A_firing_without_cones_and_a_cone_outside_the_series_are_refused()
    {
        Assert.Equal("firings.no-witness-cones", Read().Refusal!.Code);
        var refusal = WitnessReading.Of(new(ConeSeries.Large, Cone.Parse("6"), 60, [new("top", Cone.Parse("5.5"), 90)])).Refusal!;
        Assert.Equal("cones.not-in-series", refusal.Code);
        Assert.Equal("/seen/0/cone", refusal.Pointer);
    }

    [Fact]
    public void A_harder_bend_never_reads_cooler() =>
        Gen.Select(Gen.Double[5, 89], Gen.Double[5, 89], Gen.Double[20, 200]).Sample((a, b, rate) =>
        {
            double At(double bend) =>
                WitnessReading.Of(new(ConeSeries.SelfSupporting, Cone.Parse("6"), rate, [new("x", Cone.Parse("6"), bend)])).Value[0].DifferenceC!.Value;
            Assert.True(At(Math.Max(a, b)) >= At(Math.Min(a, b)));
        }, iter: 300);

    [Fact]
    public void The_usual_difference_of_a_level_is_the_median_and_rests_on_so_many_firings()
    {
        var habit = WitnessHabit.Of([Told("low", -12), Told("low", -9), Told("low", -15), Told("low", -10), Told("low", -80)]).Single();
        Assert.Equal(-12, habit.DifferenceC);
        Assert.Equal(5, habit.Firings);
        Assert.Contains("12 °C cooler", habit.Message, StringComparison.Ordinal);
        Assert.Contains("5 firings", habit.Message, StringComparison.Ordinal);
        // By hand: absolute deviations 0 3 3 2 68, median 3 → 4.45, less than one reading's 5: 1.2533 · 5 / √5.
        Assert.Equal(1.2533 * 5 / Math.Sqrt(5), habit.UncertaintyC!.Value, 9);
    }

    [Fact]
    public void Firings_that_scatter_more_than_their_cones_can_be_read_are_less_certain()
    {
        // By hand: absolute deviations 30 10 10 30 from 0, median 20.
        var habit = WitnessHabit.Of([Told("low", -30), Told("low", -10), Told("low", 10), Told("low", 30)]).Single();
        Assert.Equal(0, habit.DifferenceC);
        Assert.Equal(1.2533 * 1.4826 * 20 / 2, habit.UncertaintyC!.Value, 9);
    }

    [Fact]
    public void One_firing_is_said_to_be_little()
    {
        var habit = WitnessHabit.Of([Told("low", -12)]).Single();
        Assert.Equal((-12.0, 5.0), (habit.DifferenceC!.Value, habit.UncertaintyC!.Value));
        Assert.Contains("one firing", habit.Message, StringComparison.Ordinal);
        Assert.Contains("little", habit.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Firings_that_show_one_side_only_count_where_they_contradict()
    {
        WitnessLevel AtLeast(double c) => new("low", null, 0, c, null);
        var told = Told("low", 4);
        Assert.Equal(4, WitnessHabit.Of([told, [AtLeast(0)]]).Single().DifferenceC);
        var pulled = WitnessHabit.Of([told, [AtLeast(10)]]).Single();
        Assert.Equal(7, pulled.DifferenceC);
        Assert.Equal((2, 1), (pulled.Firings, pulled.OneSided));
        var none = WitnessHabit.Of([[AtLeast(10)]]).Single();
        Assert.Null(none.DifferenceC);
        Assert.Contains("one falls and one stands", none.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_true_difference_is_found_within_its_uncertainty_in_spite_of_wild_firings()
    {
        // Made-up kiln: 12 °C cooler, readings good to 5 °C, one firing in six wild. Two deviations must hold nine times in ten.
        var held = 0;
        for (var seed = 0; seed < 200; seed++)
        {
            var random = new Random(seed);
            double Normal() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
            var firings = Enumerable.Range(0, 12).Select(i => Told("low", i % 6 == 5 ? 60 * Normal() : -12 + 5 * Normal())).ToList();
            var habit = WitnessHabit.Of(firings).Single();
            if (Math.Abs(habit.DifferenceC!.Value + 12) <= 2 * habit.UncertaintyC!.Value) held++;
        }
        Assert.InRange(held, 180, 200);
    }

    private static IReadOnlyList<WitnessLevel> Told(string level, double differenceC) => [new(level, differenceC, 5, null, null)];

    private static KilnShare.Core.Common.Result<IReadOnlyList<WitnessLevel>> Read(params WitnessCone[] seen) =>
        WitnessReading.Of(new WitnessFiring(ConeSeries.SelfSupporting, Cone.Parse("6"), 60, seen));

    private static WitnessLevel Single(params WitnessCone[] seen) => Assert.Single(Read(seen).Value);
}
