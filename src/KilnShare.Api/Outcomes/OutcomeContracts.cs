using System.Diagnostics.CodeAnalysis;
using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Api.Outcomes;

/// <summary>A defect in more detail.</summary>
public sealed record DefectDetailContract
{
    /// <summary>Which.</summary>
    /// <example>crawling</example>
    public required Defect Defect { get; init; }

    /// <summary>How much of it: slight is seen when looked for, clear at once, severe decides what becomes of the piece.</summary>
    /// <example>slight</example>
    public DefectExtent? Extent { get; init; }

    /// <summary>Where on the piece.</summary>
    /// <example>inside the foot</example>
    public string? Where { get; init; }
}

/// <summary>What fired ware is like, in its maker's words.</summary>
public sealed record OutcomeLookContract
{
    /// <summary>The surface.</summary>
    /// <example>satin, breaks on edges</example>
    public string? Surface { get; init; }

    /// <summary>How much shows through.</summary>
    /// <example>clear over texture</example>
    public string? Opacity { get; init; }

    /// <summary>How it feels.</summary>
    /// <example>dry at the rim</example>
    public string? Feel { get; init; }

    /// <summary>The colour.</summary>
    /// <example>blue speckle on rust</example>
    public string? Colour { get; init; }
}

/// <summary>What is said of how ware came out.</summary>
public record OutcomeDescription
{
    /// <summary>Still to be filled.</summary>
    public OutcomeDescription()
    {
    }

    [SetsRequiredMembers]
    internal OutcomeDescription(IOutcomeSaid said)
    {
        Grade = said.Grade;
        Defects = said.Defects;
        DefectDetails = [.. (said.Details ?? []).Select(d => new DefectDetailContract { Defect = d.Defect, Extent = d.Extent, Where = d.Where })];
        Look = said.Look is not { } look
            ? null : new OutcomeLookContract { Surface = look.Surface, Opacity = look.Opacity, Feel = look.Feel, Colour = look.Colour };
        WouldUseAgain = said.WouldUseAgain;
        Note = said.Note;
        JudgedAt = said.JudgedAt;
    }

    /// <summary>In one word.</summary>
    /// <example>good</example>
    public required OutcomeGrade Grade { get; init; }

    /// <summary>What was seen.</summary>
    public IReadOnlyList<Defect> Defects { get; init; } = [];

    /// <summary>How much of a defect, and where. What stands here is a defect that was seen, whether defects names it or not.</summary>
    public IReadOnlyList<DefectDetailContract> DefectDetails { get; init; } = [];

    /// <summary>What it is like.</summary>
    public OutcomeLookContract? Look { get; init; }

    /// <summary>Whether its maker would do it again the same way.</summary>
    public bool? WouldUseAgain { get; init; }

    /// <summary>Anything else worth knowing next time.</summary>
    /// <example>Blue pooled in the feathers, broke to rust on the edges.</example>
    public string? Note { get; init; }

    /// <summary>When the ware was looked at; absent: when it is written down.</summary>
    public Instant? JudgedAt { get; init; }

    /// <summary>Says this of an outcome.</summary>
    public void WriteTo(Outcome outcome)
    {
        outcome.Grade = Grade;
        outcome.Defects = [.. Defects.Concat(DefectDetails.Select(d => d.Defect)).Distinct()];
        outcome.Details = DefectDetails.Count == 0 ? null : [.. DefectDetails.Select(d => new DefectDetail(d.Defect, d.Extent, d.Where))];
        outcome.Look = Look is { } look ? new OutcomeLook(look.Surface, look.Opacity, look.Feel, look.Colour) : null;
        outcome.WouldUseAgain = WouldUseAgain;
        outcome.Note = Note;
        outcome.JudgedAt = JudgedAt;
    }
}

/// <summary>How a copy came out.</summary>
public record OutcomeBody : OutcomeDescription
{
    /// <summary>Still to be filled.</summary>
    public OutcomeBody()
    {
    }

    [SetsRequiredMembers]
    internal OutcomeBody(OutcomeDescription said, Id<Firing> firing, int copy)
        : base(said) => (FiringId, Copy) = (firing.Value, copy);

    /// <summary>The firing it came out of.</summary>
    public required Guid FiringId { get; init; }

    /// <summary>Which copy.</summary>
    /// <example>0</example>
    public int Copy { get; init; }
}

/// <summary>How a copy of a piece came out, in a batch.</summary>
public sealed record OutcomeLine : OutcomeBody
{
    /// <summary>Still to be filled.</summary>
    public OutcomeLine()
    {
    }

    [SetsRequiredMembers]
    internal OutcomeLine(LoadItem item, OutcomeDescription said)
        : base(said, item.FiringId, item.Copy) => PieceId = item.PieceId.Value;

    /// <summary>The piece.</summary>
    public required Guid PieceId { get; init; }
}

/// <summary>An outcome written down.</summary>
public sealed record OutcomeAnswer : OutcomeBody
{
    [SetsRequiredMembers]
    private OutcomeAnswer(Outcome outcome)
        : base(new OutcomeDescription(outcome), outcome.FiringId, outcome.Copy)
    {
        (Id, PieceId, MemberId) = (outcome.Id.Value, outcome.PieceId.Value, outcome.MemberId.Value);
        (CreatedAt, ChangedAt) = (outcome.CreatedAt, outcome.ChangedAt);
    }

    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>The piece.</summary>
    public required Guid PieceId { get; init; }

    /// <summary>Who wrote it down, or changed it last.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>When it was first written down.</summary>
    public required Instant CreatedAt { get; init; }

    /// <summary>When it was last changed; null where it never was.</summary>
    public required Instant? ChangedAt { get; init; }

    /// <summary>The answer for an outcome.</summary>
    public static OutcomeAnswer Of(Outcome outcome) => new(outcome);
}

/// <summary>What an outcome said before it was changed.</summary>
public sealed record EarlierOutcomeAnswer : OutcomeDescription
{
    [SetsRequiredMembers]
    private EarlierOutcomeAnswer(EarlierOutcome earlier)
        : base(earlier) => (Version, MemberId, SaidAt) = (earlier.Version, earlier.MemberId.Value, earlier.SaidAt);

    /// <summary>The version of the outcome that said it, from 1.</summary>
    public required long Version { get; init; }

    /// <summary>Who had written it down.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>When.</summary>
    public required Instant SaidAt { get; init; }

    /// <summary>The answer for it.</summary>
    public static EarlierOutcomeAnswer Of(EarlierOutcome earlier) => new(earlier);
}

internal sealed class OutcomesValidator : BatchValidator<OutcomeLine>;

internal sealed class OutcomeDescriptionValidator : AbstractValidator<OutcomeDescription>
{
    public OutcomeDescriptionValidator() => this.SaysWhatCameOut();
}

internal sealed class OutcomeValidator : OutcomeValidator<OutcomeBody>;

internal sealed class OutcomeLineValidator : OutcomeValidator<OutcomeLine>;

internal abstract class OutcomeValidator<T> : AbstractValidator<T>
    where T : OutcomeBody
{
    protected OutcomeValidator()
    {
        this.SaysWhatCameOut();
        RuleFor(o => o.Copy).GreaterThanOrEqualTo(0).WithMessage("Copies are numbered from 0.");
    }
}

internal static class OutcomeRules
{
    private const int MostDefects = 20;

    /// <summary>The rules of what is said of how ware came out.</summary>
    public static void SaysWhatCameOut<T>(this AbstractValidator<T> outcome)
        where T : OutcomeDescription
    {
        outcome.RuleFor(o => o.Defects).AtMost(MostDefects);
        outcome.RuleFor(o => o.DefectDetails).AtMost(MostDefects);
        outcome.RuleForEach(o => o.DefectDetails).ChildRules(detail => detail.RuleFor(d => d.Where).OptionalLine(StudioLimits.MaxName));
        outcome.RuleFor(o => o.Look!).ChildRules(look =>
        {
            look.RuleFor(l => l.Surface).OptionalLine(StudioLimits.MaxName);
            look.RuleFor(l => l.Opacity).OptionalLine(StudioLimits.MaxName);
            look.RuleFor(l => l.Feel).OptionalLine(StudioLimits.MaxName);
            look.RuleFor(l => l.Colour).OptionalLine(StudioLimits.MaxName);
        }).When(o => o.Look is not null);
        outcome.RuleFor(o => o.Note).Note();
    }
}
