using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Api.Energy;

/// <summary>Something done to a kiln, or measured on it.</summary>
public record UpkeepEntryBody
{
    /// <summary>What it was.</summary>
    /// <example>resistance</example>
    public required UpkeepKind Kind { get; init; }

    /// <summary>When.</summary>
    public required Instant At { get; init; }

    /// <summary>With resistance: of the elements, cold, as a meter shows it with the kiln unplugged.</summary>
    /// <example>19.6</example>
    public decimal? Ohms { get; init; }

    /// <summary>A word on it.</summary>
    /// <example>measured at the plug</example>
    public string? Note { get; init; }
}

/// <summary>An entry in a kiln's book.</summary>
public sealed record UpkeepEntryAnswer : UpkeepEntryBody
{
    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>The answer for an entry.</summary>
    public static UpkeepEntryAnswer Of(UpkeepEntry entry) =>
        new() { Id = entry.Id.Value, Kind = entry.Kind, At = entry.At, Ohms = entry.Ohms, Note = entry.Note };
}

/// <summary>How far the life of a part has gone, by the firings since it was new.</summary>
public sealed record PartLifeContract
{
    /// <summary>When it was new; null where nobody wrote that down, and then all firings count.</summary>
    public required Instant? Since { get; init; }

    /// <summary>Firings since then.</summary>
    public required int Firings { get; init; }

    /// <summary>Percent of its life used, if such parts last long.</summary>
    public required double UsedPercentAtLeast { get; init; }

    /// <summary>Percent of its life used, if they do not.</summary>
    public required double UsedPercentAtMost { get; init; }

    /// <summary>The contract of a life.</summary>
    public static PartLifeContract Of(PartLife life) => new()
    {
        Since = life.Since,
        Firings = life.Firings,
        UsedPercentAtLeast = Math.Round(100 * life.UsedAtLeast, 1),
        UsedPercentAtMost = Math.Round(100 * life.UsedAtMost, 1),
    };
}

/// <summary>What resistance tells of the elements.</summary>
public sealed record ElementReadingContract
{
    /// <summary>When new.</summary>
    public required decimal NewOhms { get; init; }

    /// <summary>Now.</summary>
    public required decimal NowOhms { get; init; }

    /// <summary>So much more.</summary>
    public required double GrowthPercent { get; init; }

    /// <summary>The part of the power that is left.</summary>
    public required double PowerPercent { get; init; }

    /// <summary>Until replacement, going on like this; null where resistance has not grown.</summary>
    public required double? FiringsLeft { get; init; }
}

/// <summary>Something to be done.</summary>
public sealed record UpkeepDueContract
{
    /// <summary>Stable name.</summary>
    public required string Code { get; init; }

    /// <summary>True where it is due now; false where it soon will be.</summary>
    public required bool Due { get; init; }

    /// <summary>What to do and why.</summary>
    public required string Message { get; init; }

    /// <summary>Where the figure comes from.</summary>
    public required string Basis { get; init; }
}

/// <summary>Minutes at full power in one firing.</summary>
public sealed record FullPowerContract
{
    /// <summary>The firing.</summary>
    public required Guid FiringId { get; init; }

    /// <summary>When it began.</summary>
    public required Instant StartsAt { get; init; }

    /// <summary>Minutes at full power; null where neither samples nor a schedule tell.</summary>
    public required double? Minutes { get; init; }

    /// <summary>True where power samples show them; false where they are forecast from the schedule.</summary>
    public required bool Measured { get; init; }
}

/// <summary>A kiln's upkeep.</summary>
public sealed record KilnUpkeepAnswer
{
    /// <summary>What is due or soon will be.</summary>
    public required IReadOnlyList<UpkeepDueContract> Due { get; init; }

    /// <summary>The elements, by firings.</summary>
    public required PartLifeContract Elements { get; init; }

    /// <summary>The elements, by resistance; null with fewer than two readings since they were new.</summary>
    public required ElementReadingContract? Resistance { get; init; }

    /// <summary>The thermocouple, by firings and their cone.</summary>
    public required PartLifeContract Thermocouple { get; init; }

    /// <summary>Minutes at full power since the elements were new, as far as is known.</summary>
    public required double FullPowerMinutes { get; init; }

    /// <summary>The newest firings, newest first: the same schedule with more and more minutes at full power shows elements that age.</summary>
    public required IReadOnlyList<FullPowerContract> FullPower { get; init; }

    /// <summary>The book, oldest first.</summary>
    public required IReadOnlyList<UpkeepEntryAnswer> Book { get; init; }

    /// <summary>What to mind.</summary>
    public string Caution { get; init; } =
        "Figures to plan by, not a safety inspection: unplug the kiln before opening it, and follow its maker and local codes.";
}

internal sealed class UpkeepEntryValidator : AbstractValidator<UpkeepEntryBody>
{
    public UpkeepEntryValidator()
    {
        RuleFor(e => e.Ohms).Within(0.01m, UpkeepEntry.MostOhms, 4);
        RuleFor(e => e.Ohms).Must((e, ohms) => ohms is null == (e.Kind != UpkeepKind.Resistance))
            .WithMessage("ohms belongs to resistance, and resistance needs it.");
        RuleFor(e => e.Note).OptionalLine(StudioLimits.MaxNote);
    }
}
