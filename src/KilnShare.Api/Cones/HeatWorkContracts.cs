using KilnShare.Core.Cones;

namespace KilnShare.Api.Cones;

/// <summary>How far a cone has bent, degrees: 0 stands, 90 is down.</summary>
public sealed record ConeBendContract
{
    /// <summary>As likely.</summary>
    /// <example>90</example>
    public required double Degrees { get; init; }

    /// <summary>At the least.</summary>
    /// <example>78</example>
    public required double FromDegrees { get; init; }

    /// <summary>At the most.</summary>
    /// <example>90</example>
    public required double ToDegrees { get; init; }

    /// <summary>The contract of a bend, in whole degrees.</summary>
    public static ConeBendContract Of(ConeBend bend) =>
        new() { Degrees = Math.Round(bend.Degrees), FromDegrees = Math.Floor(bend.FromDegrees), ToDegrees = Math.Ceiling(bend.ToDegrees) };
}

/// <summary>How far one cone has come.</summary>
public sealed record ConeProgressContract
{
    private const int ProgressDecimals = 4;

    /// <summary>The cone.</summary>
    /// <example>6</example>
    public required Cone Cone { get; init; }

    /// <summary>1 is fully down; it may exceed 1 and is never above that of the next softer cone.</summary>
    /// <example>1</example>
    public required double Progress { get; init; }

    /// <summary>The same as it would be seen through the spy hole.</summary>
    public required ConeBendContract Bend { get; init; }

    /// <summary>When it was down, seconds by the clock of the readings; null where it is not.</summary>
    /// <example>72120</example>
    public required double? DownAtSeconds { get; init; }

    /// <summary>Its tabulated temperature at the end rate, °C; null where there is no end rate to look it up at.</summary>
    /// <example>1222</example>
    public required double? Celsius { get; init; }

    /// <summary>The same, °F.</summary>
    /// <example>2231.6</example>
    public required double? Fahrenheit { get; init; }

    /// <summary>The contract of a cone's progress.</summary>
    public static ConeProgressContract Of(ConeProgress progress) => new()
    {
        Cone = progress.Cone,
        Progress = Rounded(progress.Progress, progress.DownAtSeconds is not null),
        Bend = ConeBendContract.Of(progress.Bend),
        DownAtSeconds = progress.DownAtSeconds is { } at ? Math.Round(at, 1) : null,
        Celsius = progress.TableC is { } c ? Math.Round(c, 1) : null,
        Fahrenheit = progress.TableC is { } f ? Math.Round(TemperatureUnits.ToFahrenheit(f), 1) : null,
    };

    /// <summary>Progress in four decimals: only a cone that is down is shown as 1 or more.</summary>
    public static double Rounded(double progress, bool isDown)
    {
        var rounded = Math.Round(progress, ProgressDecimals);
        return isDown ? Math.Max(1, rounded) : Math.Min(1 - Math.Pow(10, -ProgressDecimals), rounded);
    }
}

/// <summary>What heat-work amounts to, between two named cones.</summary>
public sealed record HeatWorkEquivalentContract
{
    /// <summary>The hottest cone that is down; null where none is.</summary>
    /// <example>6</example>
    public required Cone? Down { get; init; }

    /// <summary>The next hotter one; null where the hottest of the series is down.</summary>
    /// <example>7</example>
    public required Cone? Next { get; init; }

    /// <summary>How far from the one to the other, 0 to 1, by the logarithm of progress.</summary>
    /// <example>0</example>
    public required double Fraction { get; init; }

    /// <summary>The contract of an equivalent.</summary>
    public static HeatWorkEquivalentContract Of(HeatWorkEquivalent equivalent) => new()
    {
        Down = equivalent.Down,
        Next = equivalent.Next,
        Fraction = Math.Round(equivalent.Fraction, 4),
    };
}

/// <summary>What a temperature history did to the cones of a series.</summary>
public sealed record HeatWorkAnswerContract
{
    /// <summary>The highest temperature, °C.</summary>
    /// <example>1222</example>
    public required double PeakC { get; init; }

    /// <summary>The whole duration.</summary>
    /// <example>20.033</example>
    public required double Hours { get; init; }

    /// <summary>The rate over the last 100 °C climbed; null when less was climbed.</summary>
    /// <example>60</example>
    public required double? EndRateCPerHour { get; init; }

    /// <summary>Every cone of the series, cold to hot.</summary>
    public required IReadOnlyList<ConeProgressContract> Cones { get; init; }

    /// <summary>Where it stands between two cones.</summary>
    public required HeatWorkEquivalentContract Equivalent { get; init; }

    /// <summary>How near to the maker's table the answer stands.</summary>
    /// <example>tabulated</example>
    public required EquivalentBasis Basis { get; init; }

    /// <summary>What makes this answer weaker than it looks.</summary>
    public required IReadOnlyList<string> Warnings { get; init; }

    /// <summary>What such a calculation cannot say at all.</summary>
    public required string Caution { get; init; }

    /// <summary>The contract of an answer: temperatures and rates to one decimal, hours to three.</summary>
    public static HeatWorkAnswerContract Of(HeatWorkAnswer answer) => new()
    {
        PeakC = Math.Round(answer.PeakC, 1),
        Hours = Math.Round(answer.Hours, 3),
        EndRateCPerHour = answer.EndRateCPerHour is { } rate ? Math.Round(rate, 1) : null,
        Cones = [.. answer.Cones.Select(ConeProgressContract.Of)],
        Equivalent = HeatWorkEquivalentContract.Of(answer.Equivalent),
        Basis = answer.Basis,
        Warnings = answer.Warnings,
        Caution = answer.Caution,
    };
}
