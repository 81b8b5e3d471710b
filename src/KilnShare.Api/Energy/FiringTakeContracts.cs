using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.Energy;
using NodaTime;

namespace KilnShare.Api.Energy;

/// <summary>A while for which the elements were on for a part of the time.</summary>
public readonly record struct DutySpanContract
{
    /// <summary>How long.</summary>
    /// <example>7</example>
    public required decimal Hours { get; init; }

    /// <summary>Percent of that time.</summary>
    /// <example>15</example>
    public required decimal DutyPercent { get; init; }
}

/// <summary>Power at a moment.</summary>
public readonly record struct PowerSampleContract
{
    /// <summary>When.</summary>
    public required Instant At { get; init; }

    /// <summary>How much, kW.</summary>
    /// <example>11.2</example>
    public required decimal Kw { get; init; }
}

/// <summary>A firing's energy where no register was read: duty with ratedKw, or powerSamples, or gasM3 with kwhPerM3.</summary>
public sealed record UnmeteredEnergyContract
{
    /// <summary>Power of the elements when on.</summary>
    /// <example>11.52</example>
    public decimal? RatedKw { get; init; }

    /// <summary>How long and for what part of it they were on, from switching on.</summary>
    public IReadOnlyList<DutySpanContract> Duty { get; init; } = [];

    /// <summary>Power over time, as a clamp meter or a controller shows it.</summary>
    public IReadOnlyList<PowerSampleContract> PowerSamples { get; init; } = [];

    /// <summary>Gas burnt, m³.</summary>
    public decimal? GasM3 { get; init; }

    /// <summary>Its calorific value, from the supplier's bill.</summary>
    public decimal? KwhPerM3 { get; init; }

    /// <summary>In Core's terms.</summary>
    public HandEnergy ToCore() => new(
        RatedKw, [.. Duty.Select(d => new DutySpan(d.Hours, d.DutyPercent / 100))], [
            .. PowerSamples.Select(s => new PowerSample(s.At, s.Kw))], GasM3, KwhPerM3);

    /// <summary>The contract of what was written down.</summary>
    public static UnmeteredEnergyContract Of(HandEnergy energy) => new()
    {
        RatedKw = energy.RatedKw,
        Duty = [.. energy.Duty.Select(d => new DutySpanContract { Hours = d.Hours, DutyPercent = d.Duty * 100 })],
        PowerSamples = [.. energy.Samples.Select(s => new PowerSampleContract { At = s.At, Kw = s.Kw })],
        GasM3 = energy.GasM3,
        KwhPerM3 = energy.KwhPerM3,
    };
}

/// <summary>What a firing is forecast to take, by its schedule and its kiln as learnt.</summary>
public sealed record FiringForecastContract
{
    /// <summary>Energy from the mains.</summary>
    public required decimal EnergyKwh { get; init; }

    /// <summary>What the meter shows is within so much of it nine times in ten.</summary>
    public required double HalfWidthPercent { get; init; }

    /// <summary>Until the end of the schedule.</summary>
    public required double Hours { get; init; }

    /// <summary>On how many metered firings it rests; 0: nothing has been learnt of this kiln.</summary>
    public required int LearntFrom { get; init; }

    /// <summary>The same in words.</summary>
    public required string RestsOnWords { get; init; }
}

/// <summary>A firing's energy.</summary>
public sealed record FiringTakeAnswer
{
    /// <summary>What it took between from and to; null while nothing was read.</summary>
    public required decimal? EnergyKwh { get; init; }

    /// <summary>True where a part of it was filled in, split or worked out rather than read off a register.</summary>
    public required bool? Interpolated { get; init; }

    /// <summary>What it was read off; null while nothing was.</summary>
    public required TakeBasis? Basis { get; init; }

    /// <summary>From when.</summary>
    public required Instant? From { get; init; }

    /// <summary>Until when.</summary>
    public required Instant? To { get; init; }

    /// <summary>What it is forecast to take; null where schedule, wall or power are not written down.</summary>
    public required FiringForecastContract? Forecast { get; init; }
}

internal sealed class UnmeteredEnergyValidator : AbstractValidator<UnmeteredEnergyContract>
{
    private const int MostSpans = 100;
    private const int MostSamples = 5_000;

    public UnmeteredEnergyValidator()
    {
        RuleFor(e => e.RatedKw).Within(0.1m, 1000m, 3);
        RuleFor(e => e.GasM3).Within(0.001m, 100_000m, 3);
        RuleFor(e => e.KwhPerM3).Within(0.1m, 100m, 6);
        RuleFor(e => e.Duty).AtMost(MostSpans);
        RuleFor(e => e.PowerSamples).AtMost(MostSamples);
        RuleForEach(e => e.Duty).ChildRules(d =>
        {
            d.RuleFor(s => s.Hours).Within(0.01m, 240m, 3);
            d.RuleFor(s => s.DutyPercent).Within(0m, 100m, 3);
        });
        RuleForEach(e => e.PowerSamples).ChildRules(s => s.RuleFor(x => x.Kw).Within(0m, 1000m, 4));
        RuleFor(e => e.PowerSamples).Must(IsRising).WithMessage("Give two samples or more, each later than the one before.");
        RuleFor(e => e.Duty).Must((e, duty) => duty.Count > 0 == e.RatedKw is not null).WithMessage("duty and ratedKw belong together.");
        RuleFor(e => e.KwhPerM3).Must((e, value) => value is null == e.GasM3 is null).WithMessage("gasM3 and kwhPerM3 belong together.");
        RuleFor(e => e).Must(e => (e.Duty.Count > 0 ? 1 : 0) + (e.PowerSamples.Count > 0 ? 1 : 0) + (e.GasM3 is null ? 0 : 1) == 1)
            .WithMessage("Give one of duty with ratedKw, powerSamples, and gasM3 with kwhPerM3.");
    }

    private static bool IsRising(IReadOnlyList<PowerSampleContract> samples)
    {
        for (var i = 1; i < samples.Count; i++)
            if (samples[i].At <= samples[i - 1].At) return false;
        return samples.Count != 1;
    }
}
