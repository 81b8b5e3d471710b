using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>What a kiln burns.</summary>
public enum Fuel
{
    /// <summary>Electricity.</summary>
    Electricity,

    /// <summary>Gas.</summary>
    Gas,
}

/// <summary>A period of a tariff as it is written; see <see cref="ClockSpan.Parse"/>.</summary>
/// <param name="Name">What it is called on the bill.</param>
/// <param name="Months">E.g. <c>1-12</c>.</param>
/// <param name="Days">E.g. <c>mon-sun</c>.</param>
/// <param name="From">E.g. <c>22:00</c>.</param>
/// <param name="To">E.g. <c>06:00</c>.</param>
/// <param name="PerKwh">Major units.</param>
public sealed record TariffPeriodTerms(string Name, string Months, string Days, string From, string To, decimal PerKwh);

/// <summary>A tariff as a contract words it, free of any zone.</summary>
/// <param name="Currency">ISO 4217 code.</param>
/// <param name="Periods">Prices by the clock.</param>
/// <param name="PerFiring">Major units for each firing.</param>
/// <param name="DemandPerKw">Major units for each kW of the highest mean power.</param>
/// <param name="DemandMinutes">Over which that mean is taken.</param>
/// <param name="Taxes">In order.</param>
public sealed record TariffTerms(
    string Currency, IReadOnlyList<TariffPeriodTerms> Periods, decimal PerFiring, decimal DemandPerKw, int DemandMinutes, IReadOnlyList<Tax> Taxes)
{
    /// <summary>What it is the price of.</summary>
    public Fuel Fuel { get; init; }

    /// <summary>The tariff by the clock of a zone, or what is wrong with it; pointers are into the terms.</summary>
    public Result<Tariff> In(DateTimeZone zone)
    {
        if (Common.Currency.Parse(Currency) is not { } currency)
            return Refusal.Invalid("energy.no-such-currency", $"{Currency} is no ISO 4217 code.", "/currency");
        var periods = new List<TariffPeriod>();
        for (var i = 0; i < Periods.Count; i++)
        {
            var terms = Periods[i];
            if (!ClockSpan.Parse(terms.Months, terms.Days, terms.From, terms.To).TryGet(out var hours, out var refusal))
                return refusal with { Pointer = $"/periods/{i}{refusal.Pointer}" };
            periods.Add(new TariffPeriod(terms.Name, hours, terms.PerKwh));
        }
        return Tariff.Create(currency, zone, periods).Then(t => t.With(PerFiring, DemandPerKw, DemandMinutes, Taxes));
    }
}
