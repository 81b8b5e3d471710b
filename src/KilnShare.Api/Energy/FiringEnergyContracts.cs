using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Api.Firings;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using NodaTime;

namespace KilnShare.Api.Energy;

/// <summary>A firing whose energy is asked for.</summary>
public record FiringEnergyQuestion
{
    /// <summary>The kiln.</summary>
    public required KilnHeatContract Kiln { get; init; }

    /// <summary>What goes in.</summary>
    public required LoadHeatContract Load { get; init; }

    /// <summary>The room.</summary>
    /// <example>15</example>
    public double AmbientC { get; init; } = 20;

    /// <summary>What the controller is to do; without a rate, as fast as the kiln can.</summary>
    public required ScheduleContract Schedule { get; init; }

    /// <summary>What electricity costs; absent: no cost is asked.</summary>
    public TariffContract? Tariff { get; init; }

    /// <summary>When the kiln is switched on; needed where the price goes by the clock.</summary>
    public Instant? StartsAt { get; init; }

    /// <summary>IANA zone whose clock the tariff goes by; absent: UTC.</summary>
    /// <example>Europe/Berlin</example>
    public string? Zone { get; init; }

    /// <summary>The cones that what is reached is told by.</summary>
    /// <example>selfSupporting</example>
    public ConeSeries Series { get; init; } = ConeSeries.SelfSupporting;

    /// <summary>In Core's terms; pointers of a refusal are into this question.</summary>
    public Result<FiringEnergyRequest> ToCore()
    {
        var request = new FiringEnergyRequest(Kiln.ToCore(), Load.ToCore(), AmbientC, Programme(Schedule.ToCore()));
        return Tariff is null
            ? request
            : ToTariff().Then<FiringEnergyRequest>(tariff => request with { Tariff = tariff, StartsAt = StartsAt });
    }

    /// <summary>The tariff by the clock of its zone.</summary>
    internal Result<Tariff> ToTariff() =>
        Tariff!.ToCore().In(Zone is null ? DateTimeZone.Utc : DateTimeZoneProviders.Tzdb[Zone]) is var tariff && tariff.Refusal is { } refusal
            ? refusal.Under("/tariff") : tariff;

    /// <summary>A firing schedule as what the kiln's controller is to do.</summary>
    internal static PowerProgramme Programme(FiringSchedule s) =>
        new(s.StartC, s.Segments.Select(x => new PowerSegment(x.RateCPerHour, x.ToC, x.HoldMinutes)).ToArray());
}

/// <summary>Where the energy goes until the elements last switch off. The parts add up to the whole.</summary>
public sealed record EnergyByPartContract
{
    /// <summary>Heat in the ware.</summary>
    public required decimal WareKwh { get; init; }

    /// <summary>Heat in shelves and posts.</summary>
    public required decimal FurnitureKwh { get; init; }

    /// <summary>Heat in the walls.</summary>
    public required decimal WallsKwh { get; init; }

    /// <summary>Given to the room.</summary>
    public required decimal LossKwh { get; init; }

    /// <summary>Drives the water out.</summary>
    public required decimal WaterKwh { get; init; }

    /// <summary>Changes raw clay.</summary>
    public required decimal ChemistryKwh { get; init; }

    /// <summary>The contract of the parts of so many kWh; what rounding leaves over is the loss's.</summary>
    public static EnergyByPartContract Of(EnergyByPart parts, decimal energyKwh)
    {
        var (ware, furniture, walls) = (Kwh(parts.WareKwh), Kwh(parts.FurnitureKwh), Kwh(parts.WallsKwh));
        var (water, chemistry) = (Kwh(parts.WaterKwh), Kwh(parts.ChemistryKwh));
        return new()
        {
            WareKwh = ware,
            FurnitureKwh = furniture,
            WallsKwh = walls,
            LossKwh = energyKwh - ware - furniture - walls - water - chemistry,
            WaterKwh = water,
            ChemistryKwh = chemistry,
        };
    }

    /// <summary>Energy to the watt-hour.</summary>
    internal static decimal Kwh(double kwh) => Math.Round((decimal)kwh, 3);
}

/// <summary>A span in which the kiln cannot follow its schedule.</summary>
public sealed record LimitedSpanContract
{
    /// <summary>From the start of the firing.</summary>
    public required double FromSeconds { get; init; }

    /// <summary>Until.</summary>
    public required double ToSeconds { get; init; }

    /// <summary>The greatest distance from the schedule in it, °C.</summary>
    public required double ShortC { get; init; }

    /// <summary>True where the kiln cools more slowly than asked.</summary>
    public required bool Cooling { get; init; }
}

/// <summary>How long the kiln takes to cool after the end of the schedule; null where it takes more than two weeks.</summary>
public sealed record CoolingHoursContract
{
    /// <summary>Until 120 °C: never open it hotter.</summary>
    /// <example>16.2</example>
    public required double? To120C { get; init; }

    /// <summary>Until 60 °C.</summary>
    /// <example>28.4</example>
    public required double? To60C { get; init; }
}

/// <summary>What the firing reaches.</summary>
public sealed record ReachedContract
{
    /// <summary>The hottest it gets.</summary>
    /// <example>1222</example>
    public required double PeakC { get; init; }

    /// <summary>What its heat-work amounts to, cooling included; null for a series without kinetics.</summary>
    public required HeatWorkEquivalentContract? Equivalent { get; init; }
}

/// <summary>A point of the firing's curve.</summary>
public readonly record struct CurvePointContract
{
    /// <summary>From the start.</summary>
    public required double AtSeconds { get; init; }

    /// <summary>Temperature then.</summary>
    public required double Celsius { get; init; }

    /// <summary>Mean power since the point before.</summary>
    public required double Kw { get; init; }
}

internal sealed class FiringEnergyValidator : AbstractValidator<FiringEnergyQuestion>
{
    public FiringEnergyValidator() => Include(new EnergyQuestionRules<FiringEnergyQuestion>());
}

internal sealed class EnergyQuestionRules<T> : AbstractValidator<T>
    where T : FiringEnergyQuestion
{
    public EnergyQuestionRules()
    {
        RuleFor(q => q.Kiln).SetValidator(new KilnHeatValidator());
        RuleFor(q => q.Tariff!).SetValidator(new TariffValidator()).When(q => q.Tariff is not null);
        RuleFor(q => q.Zone).Must(zone => zone is null || DateTimeZoneProviders.Tzdb.GetZoneOrNull(zone) is not null)
            .WithErrorCode("studios.no-such-zone").WithMessage("Takes an IANA time zone such as Europe/Berlin.");
    }
}
