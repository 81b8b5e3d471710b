using System.Globalization;
using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.Energy;

namespace KilnShare.Api.Energy;

/// <summary>A price of a kWh at certain hours of the wall clock.</summary>
public readonly record struct TariffPeriodContract
{
    /// <summary>Every hour of every day, until told otherwise.</summary>
    public TariffPeriodContract()
    {
    }

    /// <summary>What it is called on the bill.</summary>
    /// <example>night</example>
    public required string Name { get; init; }

    /// <summary>Months, as 1-12 or 11-2,4.</summary>
    /// <example>1-12</example>
    public string Months { get; init; } = "1-12";

    /// <summary>Weekdays, as mon-fri or sat,sun.</summary>
    /// <example>mon-sun</example>
    public string Days { get; init; } = "mon-sun";

    /// <summary>From that time of day.</summary>
    /// <example>22:00</example>
    public string From { get; init; } = "00:00";

    /// <summary>Until that time; not after the beginning where it goes over midnight.</summary>
    /// <example>06:00</example>
    public string To { get; init; } = "24:00";

    /// <summary>Major units, six decimals at most.</summary>
    /// <example>0.0468</example>
    public required string PerKwh { get; init; }
}

/// <summary>A tax on all lines before it, earlier taxes included.</summary>
public readonly record struct TaxContract
{
    /// <summary>What it is called on the bill.</summary>
    /// <example>vat</example>
    public required string Name { get; init; }

    /// <summary>Percent of the lines before it, six decimals at most.</summary>
    /// <example>20</example>
    public required string Percent { get; init; }
}

/// <summary>What electricity costs. Its periods cover every hour of every week exactly once.</summary>
public record TariffContract
{
    /// <summary>ISO 4217 code.</summary>
    /// <example>EUR</example>
    public required string Currency { get; init; }

    /// <summary>Prices by the clock.</summary>
    public required IReadOnlyList<TariffPeriodContract> Periods { get; init; }

    /// <summary>Major units for each firing.</summary>
    /// <example>1.20</example>
    public string PerFiring { get; init; } = "0";

    /// <summary>Major units for each kW of the highest mean power.</summary>
    /// <example>0</example>
    public string DemandPerKw { get; init; } = "0";

    /// <summary>Length of the clock's blocks over which that mean is taken; divides an hour.</summary>
    /// <example>30</example>
    public int DemandMinutes { get; init; } = 30;

    /// <summary>In the order in which they are laid on.</summary>
    public IReadOnlyList<TaxContract> Taxes { get; init; } = [];

    /// <summary>In Core's terms; validated before.</summary>
    public TariffTerms ToCore() => new(
        Currency,
        [.. Periods.Select(p => new TariffPeriodTerms(p.Name, p.Months, p.Days, p.From, p.To, Price(p.PerKwh)))],
        Price(PerFiring), Price(DemandPerKw), DemandMinutes, [.. Taxes.Select(t => new Tax(t.Name, Price(t.Percent)))]);

    private static decimal Price(string text) => decimal.Parse(text, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture);
}

/// <summary>One line of a bill.</summary>
public sealed record CostLineContract
{
    /// <summary>Name of the period or tax; demand; firing for what each firing costs.</summary>
    /// <example>night</example>
    public required string Name { get; init; }

    /// <summary>Minor units, rounded once, half away from zero.</summary>
    /// <example>414</example>
    public required long AmountMinor { get; init; }
}

/// <summary>What the electricity of a firing costs.</summary>
public sealed record TariffCostContract
{
    /// <summary>ISO 4217 code.</summary>
    /// <example>EUR</example>
    public required string Currency { get; init; }

    /// <summary>Energy by period, demand, firing, taxes.</summary>
    public required IReadOnlyList<CostLineContract> Lines { get; init; }

    /// <summary>Their sum, minor units.</summary>
    /// <example>414</example>
    public required long TotalMinor { get; init; }

    /// <summary>The contract of a cost.</summary>
    public static TariffCostContract Of(TariffCost cost) => new()
    {
        Currency = cost.Currency.Code,
        Lines = [.. cost.Lines.Select(l => new CostLineContract { Name = l.Name, AmountMinor = l.AmountMinor })],
        TotalMinor = cost.TotalMinor,
    };
}

internal sealed class TariffValidator : AbstractValidator<TariffContract>
{
    private const int MostPeriods = 100;
    private const int MostTaxes = 10;
    private const string NotAPrice = "Takes a price in major units as text, 0 or more, six decimals at most, such as 0.0468.";

    public TariffValidator()
    {
        RuleFor(t => t.Currency).CurrencyCode();
        RuleFor(t => t.Periods).AtMost(MostPeriods);
        RuleForEach(t => t.Periods).ChildRules(period =>
        {
            period.RuleFor(p => p.Name).Name();
            period.RuleFor(p => p.PerKwh).Must(IsPrice).WithErrorCode("request.not-a-price").WithMessage(NotAPrice);
        });
        RuleFor(t => t.PerFiring).Must(IsPrice).WithErrorCode("request.not-a-price").WithMessage(NotAPrice);
        RuleFor(t => t.DemandPerKw).Must(IsPrice).WithErrorCode("request.not-a-price").WithMessage(NotAPrice);
        RuleFor(t => t.Taxes).AtMost(MostTaxes);
        RuleForEach(t => t.Taxes).ChildRules(tax =>
        {
            tax.RuleFor(x => x.Name).Name();
            tax.RuleFor(x => x.Percent).Must(IsPrice).WithErrorCode("request.not-a-price").WithMessage("Takes percent as text, 0 or more, such as 20.");
        });
    }

    private static bool IsPrice(string text) => Prices.TryRead(text, out _);
}
