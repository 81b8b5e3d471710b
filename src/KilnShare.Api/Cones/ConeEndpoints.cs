using KilnShare.Api.Common;
using KilnShare.Core.Cones;

namespace KilnShare.Api.Cones;

/// <summary>A cone and the temperature at which it is down.</summary>
public sealed record ConeEquivalentContract
{
    private const double UsualRateCPerHour = 60;

    /// <summary>The cone.</summary>
    /// <example>6</example>
    public required Cone Cone { get; init; }

    /// <summary>°C, one decimal.</summary>
    /// <example>1233.7</example>
    public required double Celsius { get; init; }

    /// <summary>°F, one decimal.</summary>
    /// <example>2252.7</example>
    public required double Fahrenheit { get; init; }

    /// <summary>tabulated, interpolated in ln(rate), or extrapolated beyond the table.</summary>
    /// <example>interpolated</example>
    public required EquivalentBasis Basis { get; init; }

    /// <summary>The contract of an equivalent.</summary>
    public static ConeEquivalentContract Of(ConeEquivalent equivalent) => new()
    {
        Cone = equivalent.Cone,
        Celsius = Math.Round(equivalent.Celsius, 1),
        Fahrenheit = Math.Round(equivalent.Fahrenheit, 1),
        Basis = equivalent.Basis,
    };

    /// <summary>The cone's temperature at 60 °C/h, for an answer that names it; null where its series cannot say.</summary>
    public static ConeEquivalentContract? At(ConeSeries series, Cone cone) =>
        ConeTables.At(series, cone, UsualRateCPerHour).TryGet(out var found, out _) ? Of(found) : null;
}

/// <summary>A cone table at one rate.</summary>
public sealed record ConeTableAnswer
{
    /// <summary>The series.</summary>
    public required ConeSeries Series { get; init; }

    /// <summary>The edition of the maker's table.</summary>
    /// <example>2016</example>
    public required string Edition { get; init; }

    /// <summary>The rate over the last 100 °C of heating, °C/h.</summary>
    /// <example>100</example>
    public required double RateCPerHour { get; init; }

    /// <summary>The cones, cold to hot.</summary>
    public required IReadOnlyList<ConeEquivalentContract> Cones { get; init; }
}

/// <summary>Cone tables.</summary>
public static class ConeEndpoints
{
    private const double UsualRateCPerHour = 60;
    private const double SmallConeRateCPerHour = 300;

    /// <summary>Maps the routes.</summary>
    public static void MapCones(this RouteGroupBuilder v1) => v1.MapGet("/cones", List)
        .WithTags("Cones").WithName("listCones").Answers<ConeTableAnswer>().Refuses(422);

    /// <summary>List cones with their temperatures at a rate</summary>
    /// <remarks>Between tabulated rates temperature is interpolated linearly in ln(rate); outside them it is marked as extrapolated.</remarks>
    private static IResult List(QueryWord<ConeSeries>? series, double? rateCPerHour)
    {
        var wanted = series?.Value ?? ConeSeries.SelfSupporting;
        var rate = rateCPerHour ?? (wanted == ConeSeries.Small ? SmallConeRateCPerHour : UsualRateCPerHour);
        if (ConeTables.CheckRate(wanted, rate) is { } refusal) return Problems.Of(refusal);
        return TypedResults.Ok(new ConeTableAnswer
        {
            Series = wanted,
            Edition = ConeTables.Edition(wanted),
            RateCPerHour = rate,
            Cones = [.. ConeTables.List(wanted, rate).Select(ConeEquivalentContract.Of)],
        });
    }
}
