using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Materials;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;

namespace KilnShare.Api.Outcomes;

/// <summary>A glaze in so many coats that may be tried.</summary>
public sealed record TestCandidateContract
{
    /// <summary>Which of the studio's glazes.</summary>
    public required Guid GlazeId { get; init; }

    /// <summary>How many coats.</summary>
    /// <example>2</example>
    public required int Coats { get; init; }
}

/// <summary>What the next tests are to tell.</summary>
public sealed record NextTestBody
{
    /// <summary>The clay that is tried on.</summary>
    public required Guid ClayId { get; init; }

    /// <summary>What must not happen; absent: the ware is to come out sound.</summary>
    /// <example>crazing</example>
    public Defect? Without { get; init; }

    /// <summary>Between which the choice is.</summary>
    public required IReadOnlyList<TestCandidateContract> Candidates { get; init; }

    /// <summary>Only what came to this cone counts as known; absent: of all cones.</summary>
    /// <example>6</example>
    public Cone? Cone { get; init; }

    /// <summary>Only what was fired in this atmosphere counts as known; absent: in all.</summary>
    public Atmosphere? Atmosphere { get; init; }

    /// <summary>How many test pieces there are.</summary>
    /// <example>12</example>
    public required int Pieces { get; init; }

    /// <summary>Over how many firings they are spread.</summary>
    /// <example>2</example>
    public int Firings { get; init; } = 2;

    /// <summary>Over how many levels of each firing they are spread.</summary>
    /// <example>3</example>
    public int Levels { get; init; } = 3;

    /// <summary>Of the order in which places are given.</summary>
    /// <example>1</example>
    public int Seed { get; init; } = 1;
}

/// <summary>How many pieces of a candidate are to be fired next.</summary>
public sealed record NextTestContract
{
    /// <summary>Which of the studio's glazes.</summary>
    public required Guid GlazeId { get; init; }

    /// <summary>Its name.</summary>
    /// <example>quiet white</example>
    public required string Glaze { get; init; }

    /// <summary>How many coats.</summary>
    /// <example>2</example>
    public required int Coats { get; init; }

    /// <summary>How many pieces of it.</summary>
    /// <example>4</example>
    public required int Pieces { get; init; }

    /// <summary>What its firings so far say; null where there are none.</summary>
    public required SeenRateContract? Known { get; init; }

    /// <summary>Why.</summary>
    /// <example>Nothing is known of 2 coats of quiet white on this clay yet.</example>
    public required string Reason { get; init; }
}

/// <summary>Where test pieces are to stand.</summary>
public sealed record TestPlaceContract
{
    /// <summary>In which of the firings, from 0.</summary>
    /// <example>0</example>
    public required int Firing { get; init; }

    /// <summary>On which of its levels, from 0, the lowest.</summary>
    /// <example>0</example>
    public required int Level { get; init; }

    /// <summary>Which glaze.</summary>
    /// <example>quiet white</example>
    public required string Glaze { get; init; }

    /// <summary>How many coats.</summary>
    /// <example>2</example>
    public required int Coats { get; init; }
}

/// <summary>Which test pieces teach most of which candidate is best.</summary>
public sealed record NextTestsAnswer
{
    /// <summary>How many pieces of each candidate, in the order they were named in.</summary>
    public required IReadOnlyList<NextTestContract> Choices { get; init; }

    /// <summary>Where each piece stands, so that no glaze is taken for its place.</summary>
    public required IReadOnlyList<TestPlaceContract> Places { get; init; }

    /// <summary>The seed of their order.</summary>
    public required int Seed { get; init; }

    /// <summary>What to mind.</summary>
    public required string Sentence { get; init; }
}

internal sealed class NextTestValidator : AbstractValidator<NextTestBody>
{
    private const int MostCandidates = 20;

    public NextTestValidator()
    {
        RuleFor(b => b.Candidates).AtMost(MostCandidates);
        RuleFor(b => b.Candidates).Must(c => c.Count >= 2 && c.Distinct().Count() == c.Count)
            .WithErrorCode("outcomes.candidates").WithMessage("Name two candidates or more, each once: a choice is between several.");
        RuleForEach(b => b.Candidates).ChildRules(c => c.RuleFor(x => x.Coats).Within(1, PieceLimits.MaxCoats));
        RuleFor(b => b.Pieces).Within(1, NextTestProblem.MostPieces);
        RuleFor(b => b.Firings).Within(1, NextTestProblem.MostFirings);
        RuleFor(b => b.Levels).Within(1, NextTestProblem.MostLevels);
        RuleFor(b => b.Seed).Within(int.MinValue, int.MaxValue);
    }
}
