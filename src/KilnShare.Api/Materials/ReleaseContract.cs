using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.Materials;

namespace KilnShare.Api.Materials;

/// <summary>What a laboratory measured: release into 4 % acetic acid in 24 hours.</summary>
public sealed record ReleaseContract
{
    /// <summary>The sort of ware measured.</summary>
    /// <example>cupOrMug</example>
    public required FoodWareCategory Category { get; init; }

    /// <summary>The unit of both figures.</summary>
    /// <example>mgPerLitre</example>
    public required ReleaseUnit Unit { get; init; }

    /// <summary>Lead; absent where it was not measured.</summary>
    /// <example>0.02</example>
    public decimal? Lead { get; init; }

    /// <summary>Cadmium; absent where it was not measured.</summary>
    public decimal? Cadmium { get; init; }

    /// <summary>
    /// What further articles of the same shape, size, decoration and glaze gave off, in the same unit: EU 84/500/EEC, article 2(5), looks at three or
    /// more.
    /// </summary>
    public IReadOnlyList<ReleaseFiguresContract> Further { get; init; } = [];

    /// <summary>The laboratory's number of the report.</summary>
    public string? Reference { get; init; }

    /// <summary>In Core's terms.</summary>
    public ReleaseReport ToCore() =>
        new(Category, Unit, Lead, Cadmium) { Reference = Reference, Further = [.. Further.Select(f => new ReleaseFigures(f.Lead, f.Cadmium))] };

    /// <summary>The contract of a report.</summary>
    public static ReleaseContract? Of(ReleaseReport? report) => report is null ? null : new()
    {
        Category = report.Category,
        Unit = report.Unit,
        Lead = report.Lead,
        Cadmium = report.Cadmium,
        Reference = report.Reference,
        Further = [.. report.Further.Select(f => new ReleaseFiguresContract { Lead = f.Lead, Cadmium = f.Cadmium })],
    };
}

/// <summary>What one article gave off.</summary>
public readonly record struct ReleaseFiguresContract
{
    /// <summary>Lead.</summary>
    /// <example>0.02</example>
    public required decimal Lead { get; init; }

    /// <summary>Cadmium.</summary>
    /// <example>0</example>
    public required decimal Cadmium { get; init; }
}

internal sealed class ReleaseValidator : AbstractValidator<ReleaseContract>
{
    public ReleaseValidator()
    {
        RuleFor(r => r.Lead).Within(0m, 1_000_000m, 6);
        RuleFor(r => r.Cadmium).Within(0m, 1_000_000m, 6);
        RuleFor(r => r.Further).AtMost(20);
        RuleForEach(r => r.Further).ChildRules(f =>
        {
            f.RuleFor(one => one.Lead).Within(0m, 1_000_000m, 6);
            f.RuleFor(one => one.Cadmium).Within(0m, 1_000_000m, 6);
        });
        RuleFor(r => r.Reference).OptionalLine(120);
    }
}
