using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Api.CoFiring;

/// <summary>Pieces that wait.</summary>
public sealed record FiringGroupsQuestion
{
    /// <summary>The pieces, each as in a co-firing check.</summary>
    public required IReadOnlyList<WareContract> Pieces { get; init; }

    /// <summary>The hottest cone of the kilns there are; absent: any.</summary>
    public Cone? KilnRatedCone { get; init; }

    /// <summary>What the studio itself permits; absent: nothing beyond the rules of the trade.</summary>
    public HouseRulesContract? HouseRules { get; init; }
}

/// <summary>Pieces that are fired together.</summary>
public sealed record FiringGroupContract
{
    /// <summary>The kind of firing.</summary>
    public required FiringKind Kind { get; init; }

    /// <summary>The cone.</summary>
    public required Cone Cone { get; init; }

    /// <summary>The series of the cone.</summary>
    public required ConeSeries Series { get; init; }

    /// <summary>The cone's temperature, so that 6 and 06 are not confused.</summary>
    public required ConeEquivalentContract? ConeEquivalent { get; init; }

    /// <summary>The atmosphere.</summary>
    public required Atmosphere Atmosphere { get; init; }

    /// <summary>The pieces.</summary>
    public required IReadOnlyList<string> PieceIds { get; init; }
}

/// <summary>A piece that no firing can be found for.</summary>
public sealed record LeftOutContract
{
    /// <summary>The piece.</summary>
    public required string Id { get; init; }

    /// <summary>Why, and what to do.</summary>
    public required string Reason { get; init; }
}

/// <summary>The fewest firings.</summary>
public sealed record FiringGroupsAnswer
{
    /// <summary>The firings.</summary>
    public required IReadOnlyList<FiringGroupContract> Groups { get; init; }

    /// <summary>True when no fewer will do.</summary>
    public required bool Proven { get; init; }

    /// <summary>No plan has fewer.</summary>
    public required int LowerBound { get; init; }

    /// <summary>Pieces that no firing can be found for.</summary>
    public required IReadOnlyList<LeftOutContract> LeftOut { get; init; }

    /// <summary>The answer for a plan.</summary>
    public static FiringGroupsAnswer Of(FiringGroupsPlan plan) => new()
    {
        Groups = [.. plan.Groups.Select(g => new FiringGroupContract
        {
            Kind = g.Kind,
            Cone = g.Cone,
            Series = g.Series,
            ConeEquivalent = ConeEquivalentContract.At(g.Series, g.Cone),
            Atmosphere = g.Atmosphere,
            PieceIds = g.PieceIds,
        })],
        Proven = plan.Proven,
        LowerBound = plan.LowerBound,
        LeftOut = [.. plan.LeftOut.Select(l => new LeftOutContract { Id = l.Id, Reason = l.Reason })],
    };
}

/// <summary>A co-firing rule.</summary>
public sealed record CoFiringRuleContract
{
    /// <summary>Its name in findings and accepts.</summary>
    /// <example>body-top-cone</example>
    public required string Name { get; init; }

    /// <summary>Whether it looks at a piece, a pair or the whole load.</summary>
    public required Reach Reach { get; init; }

    /// <summary>Whom its findings may touch.</summary>
    public required IReadOnlyList<Touches> Touches { get; init; }

    /// <summary>Where it comes from.</summary>
    public required string Source { get; init; }

    /// <summary>What it needs to know.</summary>
    public required string NeedsToKnow { get; init; }

    /// <summary>The contract of a rule.</summary>
    public static CoFiringRuleContract Of(CoFiringRule rule) =>
        new() { Name = rule.Name, Reach = rule.Reach, Touches = rule.Touches, Source = rule.Source, NeedsToKnow = rule.NeedsToKnow };
}

internal sealed class FiringGroupsValidator : AbstractValidator<FiringGroupsQuestion>
{
    public FiringGroupsValidator()
    {
        RuleFor(q => q.Pieces).NotEmpty().WithErrorCode("cofiring.no-pieces").WithMessage("Takes one piece at the least.");
        RuleFor(q => q.Pieces).AtMost(FiringGroupsProblem.MostPieces);
        RuleForEach(q => q.Pieces).SetValidator(new WareValidator());
        RuleFor(q => q.HouseRules!).SetValidator(new HouseRulesValidator()).When(q => q.HouseRules is not null);
    }
}
