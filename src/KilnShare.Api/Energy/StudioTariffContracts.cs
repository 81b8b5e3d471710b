using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.Energy;
using NodaTime;

namespace KilnShare.Api.Energy;

/// <summary>A tariff to be kept under a name; it goes by the clock of the studio's zone.</summary>
public record TariffBody : TariffContract
{
    /// <summary>What the studio calls it.</summary>
    /// <example>night and day</example>
    public required string Name { get; init; }

    /// <summary>What it is the price of. A kiln that burns gas names a tariff for gas.</summary>
    /// <example>electricity</example>
    public Fuel Fuel { get; init; }

    /// <summary>In Core's terms; validated before.</summary>
    public TariffTerms ToTerms() => ToCore() with { Fuel = Fuel };
}

/// <summary>A tariff of the studio.</summary>
public sealed record TariffAnswer : TariffBody
{
    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>IANA zone whose clock it goes by: the studio's.</summary>
    /// <example>Europe/Berlin</example>
    public required string Zone { get; init; }

    /// <summary>When it was written down.</summary>
    public required Instant CreatedAt { get; init; }

    /// <summary>Raised by every edit; also the ETag.</summary>
    public required long Version { get; init; }

    /// <summary>The answer for a tariff.</summary>
    public static TariffAnswer Of(StudioTariff tariff, string zone) => new()
    {
        Id = tariff.Id.Value,
        Name = tariff.Name,
        Fuel = tariff.Terms.Fuel,
        Zone = zone,
        Currency = tariff.Terms.Currency,
        Periods = [.. tariff.Terms.Periods.Select(PeriodOf)],
        PerFiring = Prices.Write(tariff.Terms.PerFiring),
        DemandPerKw = Prices.Write(tariff.Terms.DemandPerKw),
        DemandMinutes = tariff.Terms.DemandMinutes,
        Taxes = [.. tariff.Terms.Taxes.Select(t => new TaxContract { Name = t.Name, Percent = Prices.Write(t.Percent) })],
        CreatedAt = tariff.CreatedAt,
        Version = tariff.Version,
    };

    private static TariffPeriodContract PeriodOf(TariffPeriodTerms period) => new()
    {
        Name = period.Name,
        Months = period.Months,
        Days = period.Days,
        From = period.From,
        To = period.To,
        PerKwh = Prices.Write(period.PerKwh),
    };
}

internal sealed class TariffBodyValidator : AbstractValidator<TariffBody>
{
    public TariffBodyValidator()
    {
        Include(new TariffValidator());
        RuleFor(t => t.Name).Name();
    }
}
