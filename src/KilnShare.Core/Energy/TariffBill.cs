using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>One line of a bill.</summary>
/// <param name="Name">Name of the period or tax; <c>demand</c>; <c>firing</c> for what each firing costs.</param>
/// <param name="AmountMinor">Minor units, rounded once, half away from zero.</param>
public sealed record TariffLine(string Name, long AmountMinor);

/// <summary>What the electricity of a firing costs.</summary>
/// <param name="Currency">Of every amount.</param>
/// <param name="Lines">Energy by period, demand, firing, taxes.</param>
/// <param name="TotalMinor">Their sum.</param>
public sealed record TariffCost(Currency Currency, IReadOnlyList<TariffLine> Lines, long TotalMinor);

/// <summary>The lines of a bill.</summary>
internal static class TariffBill
{
    /// <summary>Energies are exact to a milliwatt-hour, so that a metered figure is billed as it was read.</summary>
    private const int KwhDecimals = 6;

    /// <summary>The bill of a firing that starts at an instant; a start within a minute counts from the whole minute.</summary>
    public static TariffCost Of(Tariff tariff, MinuteEnergy energy, Instant startsAt)
    {
        var start = Instant.FromUnixTimeSeconds(startsAt.ToUnixTimeSeconds() / 60 * 60);
        return Of(tariff, energy, tariff.PeriodsByMinute(start, energy.Kwh.Length), start.InZone(tariff.Zone).Minute);
    }

    /// <summary>The same where the period of each minute is known already.</summary>
    public static TariffCost Of(Tariff tariff, MinuteEnergy energy, ReadOnlySpan<int> periodByMinute, int minuteOfHour)
    {
        var kwh = new double[tariff.Periods.Count];
        for (var minute = 0; minute < energy.Kwh.Length; minute++) kwh[periodByMinute[minute]] += energy.Kwh[minute];
        return Of(tariff, kwh.Select(k => Math.Round((decimal)k, KwhDecimals)).ToArray(), DemandKw(tariff, energy, minuteOfHour));
    }

    /// <summary>The bill of so many kWh in each period.</summary>
    public static TariffCost Of(Tariff tariff, IReadOnlyList<decimal> kwhByPeriod, decimal demandKw)
    {
        var lines = tariff.Periods.Select((period, i) => (period.Name, period.PerKwh, Kwh: kwhByPeriod[i]))
            .GroupBy(p => (p.Name, p.PerKwh))
            .Where(g => g.Any(p => p.Kwh != 0))
            .Select(g => Line(tariff, g.Key.Name, g.Sum(p => p.Kwh) * g.Key.PerKwh))
            .ToList();
        if (tariff.DemandPerKw != 0) lines.Add(Line(tariff, "demand", demandKw * tariff.DemandPerKw));
        if (tariff.PerFiring != 0) lines.Add(Line(tariff, "firing", tariff.PerFiring));
        foreach (var tax in tariff.Taxes)
            lines.Add(new TariffLine(tax.Name, MinorUnits.Rounded(lines.Sum(l => l.AmountMinor) * tax.Percent / 100)));
        return new TariffCost(tariff.Currency, lines, lines.Sum(l => l.AmountMinor));
    }

    private static TariffLine Line(Tariff tariff, string name, decimal major) => new(name, MinorUnits.Of(major, tariff.Currency));

    /// <summary>The highest mean power over the clock's blocks.</summary>
    private static decimal DemandKw(Tariff tariff, MinuteEnergy energy, int minuteOfHour)
    {
        if (tariff.DemandPerKw == 0) return 0;
        var (highest, block) = (0.0, 0.0);
        for (var minute = 0; minute < energy.Kwh.Length; minute++)
        {
            if ((minute + minuteOfHour) % tariff.DemandMinutes == 0) block = 0;
            block += energy.Kwh[minute];
            highest = Math.Max(highest, block);
        }
        return Math.Round((decimal)(highest * 60 / tariff.DemandMinutes), KwhDecimals);
    }
}
