using System.Text.Json.Serialization;
using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Materials;

namespace KilnShare.Api.Materials;

/// <summary>From one cone to another, both included.</summary>
public sealed record ConeRangeContract
{
    /// <summary>The coolest.</summary>
    /// <example>5</example>
    public required Cone From { get; init; }

    /// <summary>The hottest.</summary>
    /// <example>6</example>
    public required Cone To { get; init; }

    /// <summary>The series of both, where it is known. Ranges of different series are never converted.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public ConeSeries? Series { get; init; }

    /// <summary>In Core's terms.</summary>
    public ConeRange ToCore() => new(From, To, Series);

    /// <summary>The contract of a range.</summary>
    public static ConeRangeContract? Of(ConeRange? range) => range is null ? null : new() { From = range.From, To = range.To, Series = range.Series };
}

/// <summary>A substance in a material.</summary>
public sealed record IngredientContract
{
    /// <summary>Which.</summary>
    /// <example>tin</example>
    public required Substance What { get; init; }

    /// <summary>Percent by mass; absent where not known.</summary>
    /// <example>6</example>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public decimal? Percent { get; init; }
}

/// <summary>What a clay body and a glaze have in common. What is left out is not known.</summary>
public abstract record MaterialContract
{
    /// <summary>Its name.</summary>
    /// <example>grey stoneware</example>
    public string Name { get; init; } = "unnamed";

    /// <summary>The range it is to be fired in; the top of a clay body's range is a limit. Required, unless conesUnknown is true.</summary>
    public ConeRangeContract? Cones { get; init; }

    /// <summary>True when nobody knows at which cone it is to be fired: then what depends on it is unknown, and a technician is asked.</summary>
    public bool ConesUnknown { get; init; }

    /// <summary>The atmospheres it is for.</summary>
    public IReadOnlyList<Atmosphere>? Atmospheres { get; init; }

    /// <summary>Mean linear expansion, ×10⁻⁶ per °C.</summary>
    public decimal? ExpansionPpmPerC { get; init; }

    /// <summary>How that figure was come by; figures of different methods are not compared.</summary>
    /// <example>dilatometer 20-500 C</example>
    public string? ExpansionMethod { get; init; }

    /// <summary>Hazardous or volatile substances in it; an empty list says there are none, absence that it is not known.</summary>
    public IReadOnlyList<IngredientContract>? Contains { get; init; }

    /// <summary>The expansion in Core's terms.</summary>
    protected Expansion? ExpansionToCore() => ExpansionPpmPerC is { } ppm ? new Expansion(ppm, ExpansionMethod) : null;

    /// <summary>The substances in Core's terms.</summary>
    protected IReadOnlyList<Ingredient>? ContainsToCore() => Contains?.Select(c => new Ingredient(c.What, c.Percent)).ToList();

    /// <summary>The contract of substances.</summary>
    protected static IReadOnlyList<IngredientContract>? ContainsOf(IReadOnlyList<Ingredient>? contains) =>
        contains?.Select(c => new IngredientContract { What = c.What, Percent = c.Percent }).ToList();
}

/// <summary>A clay body.</summary>
public record ClayContract : MaterialContract
{
    /// <summary>The range its bisque should be fired in.</summary>
    public ConeRangeContract? BisqueCones { get; init; }

    /// <summary>Water absorption when mature, percent of the dry mass.</summary>
    /// <example>2.0</example>
    public decimal? AbsorptionPercent { get; init; }

    /// <summary>Linear shrinkage from wet to fired, percent.</summary>
    public decimal? ShrinkagePercent { get; init; }

    /// <summary>True when paper pulp, sawdust or the like is mixed in, which burns out with smoke in the first firing.</summary>
    public bool? Organics { get; init; }

    /// <summary>In Core's terms.</summary>
    public ClayBody ToCore() => new(Name, Cones?.ToCore())
    {
        BisqueCones = BisqueCones?.ToCore(),
        Atmospheres = Atmospheres,
        Expansion = ExpansionToCore(),
        AbsorptionPercent = AbsorptionPercent,
        ShrinkagePercent = ShrinkagePercent,
        Contains = ContainsToCore(),
        Organics = Organics,
    };

    /// <summary>The contract of a clay body.</summary>
    public static ClayContract Of(ClayBody body) => new()
    {
        Name = body.Name,
        Cones = ConeRangeContract.Of(body.Cones),
        ConesUnknown = body.Cones is null,
        BisqueCones = ConeRangeContract.Of(body.BisqueCones),
        Atmospheres = body.Atmospheres,
        ExpansionPpmPerC = body.Expansion?.PpmPerC,
        ExpansionMethod = body.Expansion?.Method,
        AbsorptionPercent = body.AbsorptionPercent,
        ShrinkagePercent = body.ShrinkagePercent,
        Organics = body.Organics,
        Contains = ContainsOf(body.Contains),
    };
}

/// <summary>A glaze, underglaze, engobe, lustre, enamel or decal.</summary>
public record GlazeContract : MaterialContract
{
    /// <summary>What sort of coat it is.</summary>
    /// <example>glaze</example>
    public GlazeKind Kind { get; init; } = GlazeKind.Glaze;

    /// <summary>How it behaves at its cone.</summary>
    /// <example>stable</example>
    public Movement? Movement { get; init; }

    /// <summary>True when its label says that it is free of lead; what else is in it may then stay unlisted.</summary>
    public bool? LeadFreeByLabel { get; init; }

    /// <summary>In Core's terms.</summary>
    public Glaze ToCore() => new(Name, Cones?.ToCore())
    {
        Kind = Kind,
        Atmospheres = Atmospheres,
        Expansion = ExpansionToCore(),
        Contains = ContainsToCore(),
        Movement = Movement,
        LeadFreeByLabel = LeadFreeByLabel,
    };

    /// <summary>The contract of a glaze.</summary>
    public static GlazeContract Of(Glaze glaze) => new()
    {
        Name = glaze.Name,
        Cones = ConeRangeContract.Of(glaze.Cones),
        ConesUnknown = glaze.Cones is null,
        Kind = glaze.Kind,
        Atmospheres = glaze.Atmospheres,
        ExpansionPpmPerC = glaze.Expansion?.PpmPerC,
        ExpansionMethod = glaze.Expansion?.Method,
        Contains = ContainsOf(glaze.Contains),
        Movement = glaze.Movement,
        LeadFreeByLabel = glaze.LeadFreeByLabel,
    };
}

/// <summary>A clay body of the studio.</summary>
public sealed record ClayAnswer : ClayContract
{
    [System.Diagnostics.CodeAnalysis.SetsRequiredMembers]
    private ClayAnswer(ClayContract body, Guid id, Guid? memberId, long version)
        : base(body)
    {
        Id = id;
        MemberId = memberId;
        Version = version;
    }

    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>Whose own it is, for their pieces only; null: it stands in the studio's book.</summary>
    public required Guid? MemberId { get; init; }

    /// <summary>Raised by every edit; also the ETag.</summary>
    public required long Version { get; init; }

    /// <summary>The answer for a clay.</summary>
    public static ClayAnswer Of(StudioClay clay) => new(Of(clay.Body), clay.Id.Value, clay.MemberId?.Value, clay.Version);
}

/// <summary>A glaze of the studio.</summary>
public sealed record GlazeAnswer : GlazeContract
{
    [System.Diagnostics.CodeAnalysis.SetsRequiredMembers]
    private GlazeAnswer(GlazeContract glaze, Guid id, Guid? memberId, long version)
        : base(glaze)
    {
        Id = id;
        MemberId = memberId;
        Version = version;
    }

    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>Whose own it is, for their pieces only; null: it stands in the studio's book.</summary>
    public required Guid? MemberId { get; init; }

    /// <summary>Raised by every edit; also the ETag.</summary>
    public required long Version { get; init; }

    /// <summary>The answer for a glaze.</summary>
    public static GlazeAnswer Of(StudioGlaze glaze) => new(Of(glaze.Glaze), glaze.Id.Value, glaze.MemberId?.Value, glaze.Version);
}

internal abstract class MaterialValidator<T> : AbstractValidator<T>
    where T : MaterialContract
{
    protected MaterialValidator()
    {
        RuleFor(m => m.Name).Name();
        RuleFor(m => m.Cones).NotNull().When(m => !m.ConesUnknown).WithErrorCode("materials.cones-missing")
            .WithMessage("Give the range of cones it is fired in, or conesUnknown: true where nobody knows.");
        RuleFor(m => m.Cones).Null().When(m => m.ConesUnknown).WithErrorCode("materials.cones-known")
            .WithMessage("Give either the range of cones or conesUnknown: true.");
        RuleFor(m => m.Cones).Must(IsRange).WithErrorCode("cones.range-backwards")
            .WithMessage("The range runs backwards: from is the cooler cone. Remember that 06 is cooler than 6.");
        RuleFor(m => m.Atmospheres).AtMost(5);
        RuleFor(m => m.ExpansionPpmPerC).Within(0m, 50m, 3);
        RuleFor(m => m.ExpansionMethod).OptionalLine(120);
        RuleFor(m => m.Contains).AtMost(20);
        RuleForEach(m => m.Contains).ChildRules(i => i.RuleFor(c => c.Percent).Within(0m, 100m, 3));
    }

    protected static bool IsRange(ConeRangeContract? range) => range is null || range.From <= range.To;
}

internal sealed class ClaysValidator : BatchValidator<ClayContract>;

internal sealed class GlazesValidator : BatchValidator<GlazeContract>;

internal sealed class ClayValidator : MaterialValidator<ClayContract>
{
    public ClayValidator()
    {
        RuleFor(c => c.BisqueCones).Must(IsRange).WithErrorCode("cones.range-backwards").WithMessage("The range runs backwards: from is the cooler cone.");
        RuleFor(c => c.AbsorptionPercent).Within(0m, 60m, 3);
        RuleFor(c => c.ShrinkagePercent).Within(0m, 40m, 3);
    }
}

internal sealed class GlazeValidator : MaterialValidator<GlazeContract>;
