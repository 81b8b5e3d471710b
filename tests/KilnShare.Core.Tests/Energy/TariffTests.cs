using CsCheck;
using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using NodaTime;

namespace KilnShare.Core.Tests.Energy;

public sealed class TariffTests
{
    private static readonly Currency Euro = Currency.Parse("EUR")!.Value;

    private static readonly DateTimeZone Oslo = DateTimeZoneProviders.Tzdb["Europe/Oslo"];

    internal static readonly Tariff NightAndDay = Of(
        DateTimeZone.Utc, ("night", "1-12", "mon-sun", "22:00", "06:00", 0.0468m), ("day", "1-12", "mon-sun", "06:00", "22:00", 0.20m));

    // Published worked costs: 11.52 kW × 8 h × 0.09 = 8.29 of a kiln maker, 87 kWh × 0.09 = 7.83 of a potter's meter log.
    [Theory]
    [InlineData("11.52", "8", "1", "0.09", 92.16, 829)]
    [InlineData("87", "1", "1", "0.09", 87, 783)]
    public void Worked_costs_come_out(string kw, string hours, string duty, string perKwh, double kwh, long minor)
    {
        var energy = Duty.Kwh(decimal.Parse(kw), [(decimal.Parse(hours), decimal.Parse(duty))]);
        Assert.Equal((decimal)kwh, energy);
        var power = Constant(decimal.ToDouble(decimal.Parse(kw) * decimal.Parse(duty)), double.Parse(hours));
        Assert.Equal(minor, Flat(decimal.Parse(perKwh)).Cost(power, null).Value.TotalMinor);
    }

    [Fact]
    public void A_firing_in_three_steps_of_power_costs_what_was_published()
    {
        // The potters' public mailing list, thread 31968: 2.3 × 6 + 4.7 × 6 + 9.3 × 5 = 88.5 kWh at 0.0468: 4.14.
        var power = new PowerCurve([0, 6 * 3600, 12 * 3600, 17 * 3600], [0, 2.3, 4.7, 9.3]);
        Assert.Equal(88.5m, Duty.Kwh(1, [(6, 2.3m), (6, 4.7m), (5, 9.3m)]));
        Assert.Equal(414, Flat(0.0468m).Cost(power, null).Value.TotalMinor);
    }

    [Fact]
    public void Duty_of_candling_and_bisque_adds_up() => Assert.Equal(63.936m, Duty.Kwh(11.52m, [(7, 0.15m), (9, 0.50m)]));

    [Fact]
    public void A_day_of_23_and_one_of_25_hours_are_billed_by_the_clock_on_the_wall()
    {
        // Europe/Oslo: 2026-03-29 loses the hour from 2 to 3, 2026-10-25 has it twice; night is 22 to 6.
        var tariff = Of(Oslo, ("night", "1-12", "mon-sun", "22:00", "06:00", 1m), ("day", "1-12", "mon-sun", "06:00", "22:00", 2m));
        Assert.Equal([700, 3200], Day(tariff, new LocalDate(2026, 3, 29), 23));
        Assert.Equal([900, 3200], Day(tariff, new LocalDate(2026, 10, 25), 25));
        Assert.Equal([800, 3200], Day(tariff, new LocalDate(2026, 6, 1), 24));
    }

    [Fact]
    public void Seasons_and_weekdays_count()
    {
        var tariff = Of(
            Oslo,
            ("winter", "11-2", "mon-fri", "00:00", "00:00", 3m), ("summer", "3-10", "mon-fri", "00:00", "24:00", 2m),
                ("weekend", "1-12", "sat,sun", "00:00", "24:00", 1m));
        Assert.Equal([7200], Day(tariff, new LocalDate(2026, 1, 5), 24));
        Assert.Equal([4800], Day(tariff, new LocalDate(2026, 6, 1), 24));
        Assert.Equal([2400], Day(tariff, new LocalDate(2026, 6, 6), 24));
    }

    [Fact]
    public void Periods_leave_no_gap_and_do_not_overlap()
    {
        Assert.Equal("energy.tariff-gap", Create(
            ("night", "1-12", "mon-sun", "22:00", "06:00", 1m), ("day", "1-12", "mon-sun", "06:01", "22:00", 1m)).Refusal!.Code);
        Assert.Equal("energy.tariff-gap", Create(("all", "1-11", "mon-sun", "00:00", "24:00", 1m)).Refusal!.Code);
        Assert.Equal("energy.tariff-overlap", Create(
            ("night", "1-12", "mon-sun", "22:00", "06:00", 1m), ("day", "1-12", "mon-sun", "05:59", "22:00", 1m)).Refusal!.Code);
        Assert.Equal("energy.tariff-overlap", Create(
            ("all", "1-12", "mon-sun", "00:00", "24:00", 1m), ("sunday", "1-12", "sun", "10:00", "11:00", 1m)).Refusal!.Code);
        Assert.Equal("energy.bad-price", Create(("all", "1-12", "mon-sun", "00:00", "24:00", 0.0000001m)).Refusal!.Code);
    }

    [Theory]
    [InlineData("0-12", "mon-sun", "00:00", "24:00", "energy.bad-months")]
    [InlineData("1-12", "mon-son", "00:00", "24:00", "energy.bad-days")]
    [InlineData("1-12", "mon-sun", "24:00", "24:00", "energy.bad-time")]
    [InlineData("1-12", "mon-sun", "00:00", "24:01", "energy.bad-time")]
    [InlineData("1-12", "mon-sun", "0:00", "24:00", "energy.bad-time")]
    [InlineData("1-2-3", "mon-sun", "00:00", "24:00", "energy.bad-months")]
    public void Hours_are_read_strictly(string months, string days, string from, string to, string code) =>
        Assert.Equal(code, ClockSpan.Parse(months, days, from, to).Refusal!.Code);

    [Fact]
    public void Demand_firing_and_taxes_follow_in_order_each_line_rounded_once()
    {
        // 2 h at 3.5 kW at 0.1234: 0.8638; 30 min at 3.5 kW at 1.5: 5.25; 1.20; 5 % of 731 is 36.55; 20 % of 768 is 153.6.
        var tariff = Flat(0.1234m).With(1.20m, 1.5m, 30, [new Tax("duty", 5), new Tax("vat", 20)]).Value;
        var cost = tariff.Cost(Constant(3.5, 2), Instant.FromUtc(2026, 3, 2, 8, 0)).Value;
        Assert.Equal([new("all", 86), new("demand", 525), new("firing", 120), new("duty", 37), new("vat", 154)], cost.Lines);
        Assert.Equal(922, cost.TotalMinor);
    }

    [Fact]
    public void Demand_goes_by_the_blocks_of_the_clock()
    {
        // 20 minutes at 6 kW from 08:20: 10 minutes in each half hour, a mean of 2 kW; from 08:30 all in one, 4 kW.
        var tariff = Flat(0).With(0, 1, 30, []).Value;
        Assert.Equal(200, tariff.Cost(Constant(6, 1 / 3.0), Instant.FromUtc(2026, 3, 2, 8, 20)).Value.TotalMinor);
        Assert.Equal(400, tariff.Cost(Constant(6, 1 / 3.0), Instant.FromUtc(2026, 3, 2, 8, 30)).Value.TotalMinor);
    }

    [Fact]
    public void Minutes_hold_all_the_energy_of_a_curve() =>
        Gen.Select(Gen.Double[0.01, 900], Gen.Double[0, 20]).Array[1, 50].Sample(steps =>
        {
            var ends = new List<double> { 0 };
            foreach (var (seconds, _) in steps) ends.Add(ends[^1] + seconds);
            var minutes = MinuteEnergy.Of(new PowerCurve(ends, [0, .. steps.Select(s => s.Item2)])).Kwh;
            Assert.Equal(steps.Sum(s => s.Item1 * s.Item2 / 3600), minutes.Sum(), 1e-9);
            Assert.All(minutes, kwh => Assert.InRange(kwh, 0, 20 / 60.0 + 1e-9));
        });

    [Fact]
    public void The_cheapest_start_is_the_night_s_and_the_earliest_of_equals()
    {
        var window = new Interval(Instant.FromUtc(2026, 3, 2, 7, 0), Instant.FromUtc(2026, 3, 4, 7, 0));
        var choice = CheapestStart.Find(NightAndDay, Constant(8, 6), window, null).Value;
        Assert.Equal(Instant.FromUtc(2026, 3, 2, 22, 0), choice.StartsAt);
        Assert.Equal(225, choice.Cost.TotalMinor);
    }

    [Fact]
    public void Somebody_must_be_there_at_the_start_and_for_the_end()
    {
        var window = new Interval(Instant.FromUtc(2026, 3, 2, 7, 0), Instant.FromUtc(2026, 3, 5, 7, 0));
        var there = new Attendance([ClockSpan.Parse("1-12", "mon-sun", "05:00", "23:00").Value], Duration.FromHours(2));
        // 8 h ending not before 07:00, so that 05:00 to 07:00 is attended: from 22:45 at the latest.
        var choice = CheapestStart.Find(NightAndDay, Constant(8, 8), window, there).Value;
        var (start, end) = (choice.StartsAt.InUtc(), (choice.StartsAt + Duration.FromHours(8)).InUtc());
        Assert.InRange(start.Hour, 5, 22);
        Assert.InRange(end.Hour * 60 + end.Minute, 7 * 60, 23 * 60);
        var nobody = new Attendance([ClockSpan.Parse("1-12", "mon-sun", "08:00", "09:00").Value], Duration.FromHours(2));
        Assert.Equal("energy.no-start", CheapestStart.Find(NightAndDay, Constant(8, 8), window, nobody).Refusal!.Code);
    }

    internal static double Kwh(EnergyForecast forecast, double fromSeconds, double toSeconds) =>
        forecast.Curve.Zip(
            forecast.Curve.Skip(1), (a, b) => b.Kw * Math.Max(0, Math.Min(b.AtSeconds, toSeconds) - Math.Max(a.AtSeconds, fromSeconds)) / 3600).Sum();

    private static IEnumerable<long> Day(Tariff tariff, LocalDate day, int hours) =>
        tariff.Cost(Constant(1, hours), day.AtStartOfDayInZone(tariff.Zone).ToInstant()).Value.Lines.Select(l => l.AmountMinor);

    private static PowerCurve Constant(double kw, double hours) => new([0, hours * 3600], [0, kw]);

    private static Tariff Flat(decimal perKwh) => Tariff.Create(Euro, DateTimeZone.Utc, [new TariffPeriod("all", ClockSpan.Always, perKwh)]).Value;

    private static Tariff Of(DateTimeZone zone, params (string, string, string, string, string, decimal)[] periods) => Create(zone, periods).Value;

    private static Result<Tariff> Create(params (string, string, string, string, string, decimal)[] periods) => Create(Oslo, periods);

    private static Result<Tariff> Create(DateTimeZone zone, (string Name, string Months, string Days, string From, string To, decimal PerKwh)[] periods) =>
        Tariff.Create(Euro, zone, periods.Select(p => new TariffPeriod(p.Name, ClockSpan.Parse(p.Months, p.Days, p.From, p.To).Value, p.PerKwh)).ToArray());
}
