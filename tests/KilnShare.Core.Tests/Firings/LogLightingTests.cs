using KilnShare.Core.Firings;
using NodaTime;

namespace KilnShare.Core.Tests.Firings;

public sealed class LogLightingTests
{
    private static readonly Instant Six = Instant.FromUtc(2026, 3, 14, 6, 0);

    [Fact]
    public void The_start_is_where_the_line_of_the_climb_meets_the_cold_kiln()
    {
        // An hour at 18 °C, then 100 °C an hour.
        var readings = Readings(120, minute => 18 + (Math.Max(0, minute - 60) * 100 / 60.0));
        Assert.Equal(Six + Duration.FromMinutes(60), LogLighting.StartOfClimb(readings));
    }

    [Fact]
    public void A_cold_thermocouple_that_wanders_is_no_climb_and_does_not_hide_one()
    {
        double[] wander = [0, 1.5, -0.7, 2.2, -1, 0.4, 3.1, -0.2];
        Assert.Null(LogLighting.StartOfClimb(Readings(200, minute => 18 + wander[minute % 8])));
        var start = LogLighting.StartOfClimb(Readings(200, minute => 18 + wander[minute % 8] + (Math.Max(0, minute - 90) * 150 / 60.0)))!.Value;
        Assert.InRange((start - Six).TotalMinutes, 85, 95);
    }

    [Fact]
    public void A_loose_contact_is_no_climb()
    {
        Assert.Null(LogLighting.StartOfClimb(Readings(60, minute => minute == 30 ? 900 : 18)));
        Assert.Null(LogLighting.StartOfClimb(Readings(31, minute => minute == 30 ? 900 : 18)));
    }

    [Fact]
    public void A_kiln_that_cools_from_the_firing_before_and_is_then_lit_was_lit_at_its_coolest()
    {
        var readings = Readings(300, minute => minute < 180 ? 90 - (minute / 4.0) : 45 + ((minute - 180) * 2));
        Assert.Equal(Six + Duration.FromMinutes(180), LogLighting.StartOfClimb(readings));
    }

    [Fact]
    public void A_loaded_kiln_above_the_heat_at_which_it_may_be_opened_is_on()
    {
        Assert.False(LogLighting.IsHot(Readings(1, _ => 600)));
        Assert.False(LogLighting.IsHot(Readings(5, minute => minute == 4 ? 600 : 60)));
        // Source: owners' manuals: not to be opened above 120 °C (250 °F).
        Assert.True(LogLighting.IsHot(Readings(5, _ => 121)));
        Assert.False(LogLighting.IsHot(Readings(5, _ => 119)));
    }

    private static LogReading[] Readings(int minutes, Func<int, double> celsius) =>
        [.. Enumerable.Range(0, minutes).Select(i => new LogReading(1, i, Six + Duration.FromMinutes(i), celsius(i)))];
}
