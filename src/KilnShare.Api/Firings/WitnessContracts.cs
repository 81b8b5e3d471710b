using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>How a witness cone looked, in a word.</summary>
public enum WitnessSeen
{
    /// <summary>Upright: it had not moved.</summary>
    Standing,

    /// <summary>Half way over.</summary>
    Bending,

    /// <summary>Its tip touches or points at the shelf: its end point.</summary>
    Down,

    /// <summary>Flat or melted.</summary>
    Over,
}

/// <summary>A witness cone as it looked after the firing.</summary>
public sealed record WitnessConeContract
{
    // A cone whose tip has travelled half way, and one that lies flat.
    private const double HalfWayDegrees = 45;
    private const double FlatDegrees = 120;

    /// <summary>The level it stood on, in the studio's words.</summary>
    /// <example>bottom</example>
    public required string Level { get; init; }

    /// <summary>Which cone, of the firing's series.</summary>
    /// <example>6</example>
    public required Cone Cone { get; init; }

    /// <summary>How it looked; or say it in degrees.</summary>
    /// <example>down</example>
    public WitnessSeen? Seen { get; init; }

    /// <summary>How far its tip has travelled: 0 upright, 90 at its end point, up to 180.</summary>
    public double? BendDegrees { get; init; }

    /// <summary>The bend in degrees, said in either way.</summary>
    internal double Degrees => BendDegrees ?? Seen switch
    {
        WitnessSeen.Standing => 0,
        WitnessSeen.Bending => HalfWayDegrees,
        WitnessSeen.Down => WitnessCone.EndPointDegrees,
        _ => FlatDegrees,
    };

    /// <summary>The word for a bend.</summary>
    internal static WitnessSeen WordOf(double degrees) => degrees switch
    {
        < 5 => WitnessSeen.Standing,
        < WitnessCone.EndPointDegrees => WitnessSeen.Bending,
        < FlatDegrees => WitnessSeen.Down,
        _ => WitnessSeen.Over,
    };
}

/// <summary>Witness cones to be written down.</summary>
public sealed record WitnessConesBody
{
    /// <summary>The cones. One for a level and cone that was written before stands for it from now on.</summary>
    public required IReadOnlyList<WitnessConeContract> Cones { get; init; }
}

/// <summary>A witness cone written down.</summary>
public sealed record WitnessConeAnswer
{
    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>The level it stood on.</summary>
    public required string Level { get; init; }

    /// <summary>Which cone.</summary>
    public required Cone Cone { get; init; }

    /// <summary>That cone with its temperature at 60 °C/h.</summary>
    public required ConeEquivalentContract? ConeEquivalent { get; init; }

    /// <summary>How it looked.</summary>
    public required WitnessSeen Seen { get; init; }

    /// <summary>How far its tip had travelled.</summary>
    public required double BendDegrees { get; init; }

    /// <summary>When it was written down.</summary>
    public required Instant WrittenAt { get; init; }

    /// <summary>The answer for an entry.</summary>
    public static WitnessConeAnswer Of(WitnessEntry entry, ConeSeries series) => new()
    {
        Id = entry.Id.Value,
        Level = entry.Level,
        Cone = entry.Cone,
        ConeEquivalent = ConeEquivalentContract.At(series, entry.Cone),
        Seen = WitnessConeContract.WordOf(entry.BendDegrees),
        BendDegrees = entry.BendDegrees,
        WrittenAt = entry.WrittenAt,
    };
}

/// <summary>How much hotter or cooler than the target cone one level was, in degrees of the cone table.</summary>
public sealed record WitnessLevelContract
{
    /// <summary>The level.</summary>
    public required string Level { get; init; }

    /// <summary>Best estimate; null where the cones show one side only.</summary>
    public required double? DifferenceC { get; init; }

    /// <summary>One standard deviation of it; null without an estimate.</summary>
    public required double? UncertaintyC { get; init; }

    /// <summary>Every cone was down: at least so much.</summary>
    public required double? AtLeastC { get; init; }

    /// <summary>No cone had moved: at most so much.</summary>
    public required double? AtMostC { get; init; }

    /// <summary>The contract of a level.</summary>
    public static WitnessLevelContract Of(WitnessLevel level) => new()
    {
        Level = level.Level,
        DifferenceC = Rounded(level.DifferenceC),
        UncertaintyC = level.DifferenceC is null ? null : Rounded(level.UncertaintyC),
        AtLeastC = Rounded(level.AtLeastC),
        AtMostC = Rounded(level.AtMostC),
    };

    private static double? Rounded(double? degrees) => degrees is { } known ? Math.Round(known, 1) : null;
}

/// <summary>The witness cones of a firing and what they say.</summary>
public sealed record WitnessConesAnswer
{
    /// <summary>The cone the firing was to bring down, with its temperature at 60 °C/h.</summary>
    public required ConeEquivalentContract? TargetCone { get; init; }

    /// <summary>The rate over the last 100 °C that they are compared at.</summary>
    public required double EndRateCPerHour { get; init; }

    /// <summary>What was written down, oldest first; a later entry for a level and cone stands for the earlier.</summary>
    public required IReadOnlyList<WitnessConeAnswer> Items { get; init; }

    /// <summary>What each level says.</summary>
    public required IReadOnlyList<WitnessLevelContract> Levels { get; init; }
}

/// <summary>What a kiln usually does on one level.</summary>
public sealed record KilnLevelContract
{
    /// <summary>The level.</summary>
    public required string Level { get; init; }

    /// <summary>Usual difference from the target, degrees of the cone table; null where it cannot be told yet.</summary>
    public required double? DifferenceC { get; init; }

    /// <summary>One standard deviation of that difference.</summary>
    public required double? UncertaintyC { get; init; }

    /// <summary>How many firings it rests on.</summary>
    public required int Firings { get; init; }

    /// <summary>How many of them show one side only.</summary>
    public required int OneSided { get; init; }

    /// <summary>The same in words.</summary>
    public required string Message { get; init; }

    /// <summary>The contract of a habit.</summary>
    public static KilnLevelContract Of(WitnessHabit habit) => new()
    {
        Level = habit.Level,
        DifferenceC = habit.DifferenceC is { } difference ? Math.Round(difference, 1) : null,
        UncertaintyC = habit.UncertaintyC is { } uncertainty ? Math.Round(uncertainty, 1) : null,
        Firings = habit.Firings,
        OneSided = habit.OneSided,
        Message = habit.Message,
    };
}

/// <summary>What has been learnt of each level of a kiln.</summary>
public sealed record KilnLevelsAnswer
{
    /// <summary>How many firings with witness cones were looked at, the newest first.</summary>
    public required int Firings { get; init; }

    /// <summary>The levels by name.</summary>
    public required IReadOnlyList<KilnLevelContract> Levels { get; init; }
}

internal sealed class WitnessConesValidator : AbstractValidator<WitnessConesBody>
{
    private const int MostCones = 200;

    public WitnessConesValidator()
    {
        RuleFor(b => b.Cones).NotEmpty().WithErrorCode("firings.no-witness-cones").WithMessage("Write down at least one witness cone.");
        RuleFor(b => b.Cones).AtMost(MostCones);
        RuleFor(b => b.Cones).Must(cones => cones.Where(c => c is not null).DistinctBy(c => (c.Level, c.Cone)).Count() == cones.Count(c => c is not null))
            .WithErrorCode("firings.cone-twice")
                .WithMessage("One cone of a number on one level: give two of them different levels, such as bottom front and bottom back.");
        RuleForEach(b => b.Cones).NotNull().WithMessage("Takes a cone, not null.").ChildRules(cone =>
        {
            cone.RuleFor(c => c.Level).Line(WitnessEntry.MaxLevel);
            cone.RuleFor(c => c.BendDegrees).Must((c, bend) => bend is null != c.Seen is null).WithErrorCode("firings.seen-or-bend")
                .WithMessage("Say how the cone looked, or its bend in degrees, not both.");
            cone.RuleFor(c => c.BendDegrees).Must(bend => bend is null or (>= 0 and <= WitnessCone.MostDegrees))
                .WithMessage($"A bend is from 0 (upright) over 90 (end point) to {WitnessCone.MostDegrees} degrees.");
        });
    }
}
