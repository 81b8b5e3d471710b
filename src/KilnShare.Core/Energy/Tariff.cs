using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>A price of a kWh at certain hours.</summary>
/// <param name="Name">E.g. <c>night</c>.</param>
/// <param name="Hours">When it holds.</param>
/// <param name="PerKwh">Major units, six decimals at most.</param>
public sealed record TariffPeriod(string Name, ClockSpan Hours, decimal PerKwh);

/// <summary>A tax on all lines before it, earlier taxes included.</summary>
/// <param name="Name">E.g. <c>vat</c>.</param>
/// <param name="Percent">Of the lines before it.</param>
public sealed record Tax(string Name, decimal Percent);

/// <summary>What electricity costs, by the clock of the studio's zone. Its periods cover every hour of every week exactly once.</summary>
public sealed record Tariff
{
    private Tariff(Currency currency, DateTimeZone zone, IReadOnlyList<TariffPeriod> periods) =>
        (Currency, Zone, Periods) = (currency, zone, periods);

    /// <summary>Of every price.</summary>
    public Currency Currency { get; }

    /// <summary>Whose clock counts.</summary>
    public DateTimeZone Zone { get; }

    /// <summary>Prices by the clock.</summary>
    public IReadOnlyList<TariffPeriod> Periods { get; }

    /// <summary>Major units for each firing.</summary>
    public decimal PerFiring { get; init; }

    /// <summary>Major units for each kW of the highest mean power over <see cref="DemandMinutes"/>.</summary>
    public decimal DemandPerKw { get; init; }

    /// <summary>Length of the clock's blocks over which the mean is taken; divides an hour.</summary>
    public int DemandMinutes { get; init; } = 30;

    /// <summary>In the order in which they are laid on.</summary>
    public IReadOnlyList<Tax> Taxes { get; init; } = [];

    /// <summary>Whether the price depends on when the firing is.</summary>
    public bool GoesByTheClock => Periods.Any(p => p.PerKwh != Periods[0].PerKwh);

    /// <summary>A tariff whose periods cover the week once; pointers of refusals are into the tariff.</summary>
    public static Result<Tariff> Create(Currency currency, DateTimeZone zone, IReadOnlyList<TariffPeriod> periods)
    {
        if (periods.Count is 0 or > 100) return Refusal.Invalid("energy.no-periods", "A tariff has 1 to 100 periods.", "/periods");
        for (var i = 0; i < periods.Count; i++)
        {
            if (!IsPrice(periods[i].PerKwh))
                return Refusal.Invalid(
                    "energy.bad-price", $"{periods[i].PerKwh} is no price of a kWh: six decimals at most.", $"/periods/{i}/perKwh");
        }
        return Coverage(periods) is { } refusal ? refusal : new Tariff(currency, zone, periods);
    }

    /// <summary>The tariff with its fixed parts and taxes, or what is wrong with them.</summary>
    public Result<Tariff> With(decimal perFiring, decimal demandPerKw, int demandMinutes, IReadOnlyList<Tax> taxes)
    {
        if (perFiring < 0 || !IsPrice(perFiring))
            return Refusal.Invalid("energy.bad-price", $"{perFiring} is no price of a firing.", "/perFiring");
        if (demandPerKw < 0 || !IsPrice(demandPerKw))
            return Refusal.Invalid("energy.bad-price", $"{demandPerKw} is no price of a kW.", "/demandPerKw");
        if (demandMinutes is < 1 or > 60 || 60 % demandMinutes != 0)
            return Refusal.Invalid(
                "energy.bad-demand-minutes", $"{demandMinutes} minutes do not divide an hour; 15, 30 and 60 are usual.", "/demandMinutes");
        for (var i = 0; i < taxes.Count; i++)
        {
            if (taxes[i].Percent is < 0 or > 1000)
                return Refusal.Invalid("energy.bad-tax", $"{taxes[i].Percent} % is no tax.", $"/taxes/{i}/percent");
        }
        return this with { PerFiring = perFiring, DemandPerKw = demandPerKw, DemandMinutes = demandMinutes, Taxes = taxes };
    }

    /// <summary>Which period holds at an instant, by the wall clock: on days of 23 or 25 hours too.</summary>
    public int PeriodAt(Instant instant) => PeriodAt(Periods, instant.InZone(Zone).LocalDateTime);

    /// <summary>Which period holds in each minute from an instant on.</summary>
    internal int[] PeriodsByMinute(Instant start, int minutes)
    {
        var periods = new int[minutes];
        for (var minute = 0; minute < minutes; minute++) periods[minute] = PeriodAt(start + Duration.FromMinutes(minute));
        return periods;
    }

    /// <summary>What a firing costs that takes this power; a start within a minute counts from the whole minute.</summary>
    public Result<TariffCost> Cost(PowerCurve power, Instant? startsAt) =>
        startsAt is null && (GoesByTheClock || DemandPerKw != 0)
            ? Refusal.Rule("energy.start-missing", "The price goes by the clock: say in startsAt when the firing starts.", "/startsAt")
            : TariffBill.Of(this, MinuteEnergy.Of(power), startsAt ?? Instant.FromUnixTimeSeconds(0));

    private static int PeriodAt(IReadOnlyList<TariffPeriod> periods, LocalDateTime clock)
    {
        for (var i = 0; i < periods.Count; i++)
        {
            if (periods[i].Hours.Contains(clock)) return i;
        }
        throw new InvalidOperationException("The periods do not cover the week.");
    }

    private static Refusal? Coverage(IReadOnlyList<TariffPeriod> periods)
    {
        for (var month = 1; month <= 12; month++)
        {
            for (var day = 1; day <= 7; day++)
            {
                for (var minute = 0; minute < 1440; minute++)
                {
                    if (Coverage(periods, month, day, minute) is { } refusal) return refusal;
                }
            }
        }
        return null;
    }

    private static Refusal? Coverage(IReadOnlyList<TariffPeriod> periods, int month, int day, int minute)
    {
        var holding = -1;
        for (var i = 0; i < periods.Count; i++)
        {
            if (!periods[i].Hours.Contains(month, day, minute)) continue;
            if (holding >= 0)
                return Refusal.Rule(
                    "energy.tariff-overlap", $"{periods[holding].Name} and {periods[i].Name} both hold {When(month, day, minute)}.", $"/periods/{i}");
            holding = i;
        }
        return holding >= 0
            ? null
            : Refusal.Rule("energy.tariff-gap", $"No period holds {When(month, day, minute)}; let one go on until then.", "/periods");
    }

    private static string When(int month, int day, int minute) =>
        $"in month {month} on {(IsoDayOfWeek)day} at {minute / 60:00}:{minute % 60:00}";

    private static bool IsPrice(decimal price) => Math.Abs(price) <= 1_000_000 && price * 1_000_000 == decimal.Truncate(price * 1_000_000);
}
