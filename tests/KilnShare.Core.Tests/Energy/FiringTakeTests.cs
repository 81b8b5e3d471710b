using KilnShare.Core.Energy;
using NodaTime;

namespace KilnShare.Core.Tests.Energy;

public sealed class FiringTakeTests
{
    private static readonly Instant Start = Instant.FromUtc(2026, 3, 14, 19, 0);

    [Fact]
    public void A_shared_meter_s_parts_add_up_and_go_by_the_forecasts()
    {
        // Two hours with both at 10 and 5 kW, one more with the first alone.
        MeterUser[] users = [new(Start, new PowerCurve([0, 3 * 3600], [0, 10])), new(Start, new PowerCurve([0, 2 * 3600], [0, 5]))];
        var series = MeterSeries.Create([new(At(0), 100), new(At(2), 133), new(At(3), 144)]).Value;
        var first = SharedMeter.Split(series, users, 0, At(0), At(3)).Value;
        var second = SharedMeter.Split(series, users, 1, At(0), At(2)).Value;
        Assert.Equal((33m * 2 / 3 + 11, 33m / 3), (first.Kwh, second.Kwh));
        Assert.Equal(44, first.Kwh + second.Kwh);
        Assert.True(first.Interpolated);
        Assert.Equal(11, first.Between(At(2), At(3), DateTimeZone.Utc).Value.Kwh);
    }

    [Fact]
    public void Meters_of_one_firing_add_up_in_every_interval()
    {
        var left = MeterSeries.Create([new(At(0), 0), new(At(4), 20)]).Value.Whole().Value;
        var right = MeterSeries.Create([new(At(1), 500), new(At(3), 506)]).Value.Whole().Value;
        var both = FiringTake.Sum([left, right]);
        Assert.Equal((26m, At(0), At(4)), (both.Kwh, both.From, both.To));
        Assert.Equal(5m, both.Between(At(0), At(1), DateTimeZone.Utc).Value.Kwh);
        Assert.Equal(16m, both.Between(At(1), At(3), DateTimeZone.Utc).Value.Kwh);
        Assert.True(both.Between(At(1), At(2), DateTimeZone.Utc).Value.Interpolated);
        Assert.Equal("energy.interval-not-metered", both.Between(At(3), At(5), DateTimeZone.Utc).Refusal!.Code);
    }

    [Fact]
    public void Gas_counts_by_its_calorific_value_over_an_exchange()
    {
        MeterReading[] readings = [new(At(0), 990), new(At(2), 1000, MeterEvent.Exchange, 5), new(At(4), 15)];
        Assert.Equal(20 * 10.5m, MeterSeries.Create(readings, null, 10.5m).Value.Whole().Value.Kwh);
    }

    [Fact]
    public void One_reading_is_not_enough() =>
        Assert.Equal("energy.not-metered", MeterSeries.Create([new(At(0), 1)]).Value.Whole().Refusal!.Code);

    private static Instant At(int hour) => Start + Duration.FromHours(hour);
}
