using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Api.Firings;

/// <summary>How hot a firing became, as somebody says who looked: a cone, a temperature, or both.</summary>
public sealed record HeatReachedBody
{
    /// <summary>The hottest cone that came down.</summary>
    /// <example>4</example>
    public Cone? Cone { get; init; }

    /// <summary>The highest temperature.</summary>
    /// <example>1148</example>
    public decimal? PeakC { get; init; }

    /// <summary>In Core's terms.</summary>
    public HeatReached ToCore() => new(Cone, (double?)PeakC, HeatBasis.Word);
}

/// <summary>How hot a firing became, and by what that is known.</summary>
public sealed record HeatReachedAnswer
{
    /// <summary>The hottest cone that came down, with its temperature; null where none did, or where it is not known.</summary>
    public required ConeEquivalentContract? Cone { get; init; }

    /// <summary>The highest temperature; null where it is not known.</summary>
    public required double? PeakC { get; init; }

    /// <summary>By what the cone is known, or the temperature where there is no cone.</summary>
    /// <example>witnessCones</example>
    public required HeatBasis Basis { get; init; }

    /// <summary>The answer for a firing; null where it came out as meant, or nobody knows.</summary>
    public static HeatReachedAnswer? Of(Firing firing) => firing.Heat() is { } heat ? new()
    {
        Cone = heat.Cone is { } cone ? ConeEquivalentContract.At(firing.Aim.Series, cone) : null,
        PeakC = heat.PeakC is { } peak ? Math.Round(peak, 1) : null,
        Basis = heat.Basis,
    } : null;
}

internal sealed class HeatReachedValidator : AbstractValidator<HeatReachedBody>
{
    private const decimal Coldest = -60;
    private const decimal MostC = 1600; // TemperatureHistory.HighestC

    public HeatReachedValidator()
    {
        RuleFor(r => r.PeakC).Within(Coldest, MostC, 1);
        RuleFor(r => r.Cone).Must((r, cone) => cone is not null || r.PeakC is not null).WithErrorCode("firings.nothing-said")
            .WithMessage("Say a cone, a peak temperature, or both.");
    }
}
