using CsCheck;
using KilnShare.Core.Energy;
using NodaTime;

namespace KilnShare.Core.Tests.Energy;

public sealed class MeterSeriesTests
{
    private static readonly Instant Start = Instant.FromUtc(2026, 3, 1, 8, 0);

    [Fact]
    public void Energy_between_two_readings_is_their_difference()
    {
        var series = MeterSeries.Create([new(Start, 1204.5m), new(At(10), 1291.5m)]).Value;
        Assert.Equal(new MeteredEnergy(87m, false), series.Between(Start, At(10)).Value);
    }

    [Fact]
    public void Between_readings_the_figure_is_interpolated_and_says_so()
    {
        var series = MeterSeries.Create([new(Start, 100), new(At(4), 120)]).Value;
        Assert.Equal(new MeteredEnergy(5m, true), series.Between(Start, At(1)).Value);
        Assert.Equal("energy.interval-not-metered", series.Between(Start, At(5)).Refusal!.Code);
    }

    [Fact]
    public void A_register_that_fell_is_refused_unless_it_rolled_over_or_was_exchanged()
    {
        var refusal = MeterSeries.Create([new(Start, 99_980), new(At(10), 40)]).Refusal!;
        Assert.Equal(("energy.register-fell", "/readings/1/kwh"), (refusal.Code, refusal.Pointer));
        var rolled = MeterSeries.Create([new(Start, 99_980), new(At(10), 40, MeterEvent.Rollover)], 100_000).Value;
        Assert.Equal(60, rolled.Between(Start, At(10)).Value.Kwh);
        var exchanged = MeterSeries.Create([new(Start, 99_980), new(At(4), 99_990, MeterEvent.Exchange, 3), new(At(10), 40)]).Value;
        Assert.Equal(47, exchanged.Between(Start, At(10)).Value.Kwh);
    }

    [Fact]
    public void A_rollover_needs_to_know_where_and_an_exchange_with_what()
    {
        Assert.Equal("energy.rollover-unknown", MeterSeries.Create([new(Start, 10), new(At(1), 4, MeterEvent.Rollover)]).Refusal!.Code);
        Assert.Equal("energy.new-register-missing", MeterSeries.Create([new(Start, 10, MeterEvent.Exchange)]).Refusal!.Code);
        Assert.Equal("energy.not-in-order", MeterSeries.Create([new(Start, 10), new(Start, 11)]).Refusal!.Code);
    }

    [Fact]
    public void Adjacent_intervals_add_up() =>
        Gen.Select(Gen.Int[1, 500].Array[2, 12], Gen.Int[0, 100], Gen.Int[0, 100]).Sample((growth, a, b) =>
        {
            var shown = 0m;
            var series = MeterSeries.Create(growth.Select((g, i) => new MeterReading(At(10 * i), shown += g)).ToArray()).Value;
            var end = 10 * (growth.Length - 1);
            var (first, second) = (At(Math.Min(a, b) * end / 100.0), At(Math.Max(a, b) * end / 100.0));
            var sum = series.Between(Start, first).Value.Kwh + series.Between(first, second).Value.Kwh + series.Between(second, At(end)).Value.Kwh;
            Assert.InRange(series.Between(Start, At(end)).Value.Kwh - sum, -0.002m, 0.002m);
        });

    [Fact]
    public void A_metered_firing_is_billed_by_the_clock()
    {
        // 20 kWh evenly from 20:00 to 24:00: two hours each way of 22:00.
        var series = MeterSeries.Create([new(At(12), 100), new(At(16), 120)]).Value;
        var cost = TariffTests.NightAndDay.Cost(series.PowerBetween(At(12), At(16)).Value, At(12)).Value;
        Assert.Equal([new("night", 47), new("day", 200)], cost.Lines);
    }

    private static Instant At(double hours) => Start + Duration.FromHours(hours);
}
