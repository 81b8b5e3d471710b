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

    /// <summary>The laboratory's number of the report.</summary>
    public string? Reference { get; init; }

    /// <summary>In Core's terms.</summary>
    public ReleaseReport ToCore() => new(Category, Unit, Lead, Cadmium) { Reference = Reference };

    /// <summary>The contract of a report.</summary>
    public static ReleaseContract? Of(ReleaseReport? report) => report is null ? null : new()
    {
        Category = report.Category,
        Unit = report.Unit,
        Lead = report.Lead,
        Cadmium = report.Cadmium,
        Reference = report.Reference,
    };
}

internal sealed class ReleaseValidator : AbstractValidator<ReleaseContract>
{
    public ReleaseValidator()
    {
        RuleFor(r => r.Lead).Within(0m, 1_000_000m, 6);
        RuleFor(r => r.Cadmium).Within(0m, 1_000_000m, 6);
        RuleFor(r => r.Reference).OptionalLine(120);
    }
}
