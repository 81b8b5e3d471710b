using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Api.Firings;
using KilnShare.Api.Cones;
using KilnShare.Api.Materials;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using NodaTime;

namespace KilnShare.Api.CoFiring;

/// <summary>What a firing is to be.</summary>
public record FiringAimContract
{
    /// <summary>What it does to the ware.</summary>
    /// <example>glaze</example>
    public required FiringKind Kind { get; init; }

    /// <summary>Its cone.</summary>
    /// <example>6</example>
    public required Cone Cone { get; init; }

    /// <summary>The series of that cone.</summary>
    /// <example>selfSupporting</example>
    public ConeSeries Series { get; init; } = ConeSeries.SelfSupporting;

    /// <summary>Its atmosphere.</summary>
    /// <example>oxidation</example>
    public Atmosphere Atmosphere { get; init; } = Atmosphere.Oxidation;

    /// <summary>In Core's terms.</summary>
    public FiringAim ToCore() => new(Kind, Cone, Series, Atmosphere);
}

/// <summary>One coat of glaze, with what is known of it.</summary>
public sealed record WareLayerContract
{
    /// <summary>What it is.</summary>
    public required GlazeContract Glaze { get; init; }

    /// <summary>How many coats.</summary>
    /// <example>2</example>
    public int Coats { get; init; } = 1;

    /// <summary>Where on the ware.</summary>
    /// <example>outside</example>
    public string? Where { get; init; }

    /// <summary>The cone it was fired at; null while it is raw.</summary>
    public Cone? FiredAt { get; init; }
}

/// <summary>A piece as the co-firing rules see it. What is left out is not known.</summary>
public sealed record WareContract
{
    /// <summary>Its name within this question.</summary>
    /// <example>p1</example>
    public required string Id { get; init; }

    /// <summary>What it has been fired to.</summary>
    /// <example>bisque</example>
    public required Stage Stage { get; init; }

    /// <summary>The cone of its bisque.</summary>
    /// <example>04</example>
    public Cone? BisquedAt { get; init; }

    /// <summary>True when someone is to eat or drink from it.</summary>
    /// <example>true</example>
    public bool ForFood { get; init; }

    /// <summary>Bare clay above the foot, mm.</summary>
    /// <example>6</example>
    public decimal? BareFootMm { get; init; }

    /// <summary>True when it stands on a catcher.</summary>
    public bool OnCatcher { get; init; }

    /// <summary>True when it stands on stilts.</summary>
    public bool OnStilts { get; init; }

    /// <summary>Thickest wall, mm.</summary>
    public decimal? WallMm { get; init; }

    /// <summary>Where its lid is while it is fired; absent where it has none.</summary>
    public Lid? Lid { get; init; }

    /// <summary>True when it has steep walls or undercut relief, over which a coat slides further.</summary>
    public bool Steep { get; init; }

    /// <summary>True when it is a test tile, which nobody minds losing.</summary>
    public bool TestTile { get; init; }

    /// <summary>Whose it is, any word; pieces without it belong to one further person.</summary>
    /// <example>a</example>
    public string? Member { get; init; }

    /// <summary>How dry greenware is.</summary>
    public Dryness? Dryness { get; init; }

    /// <summary>Since when it has been drying.</summary>
    public Instant? DrySince { get; init; }

    /// <summary>True when it is declared for one firing only, false when it is not to be.</summary>
    public bool? SingleFire { get; init; }

    /// <summary>True when its clay or glaze was brought in from outside the studio.</summary>
    public bool OutsideMaterial { get; init; }

    /// <summary>True when a test of these very materials has been fired here.</summary>
    public bool Tested { get; init; }

    /// <summary>A laboratory's release figures for this ware; recorded and compared with limits, never a word of safety.</summary>
    public ReleaseContract? Release { get; init; }

    /// <summary>Its clay body.</summary>
    public required ClayContract Clay { get; init; }

    /// <summary>Its coats, the lowest first.</summary>
    public IReadOnlyList<WareLayerContract> Layers { get; init; } = [];

    /// <summary>In Core's terms.</summary>
    public Ware ToCore() => new(Id, Stage, Clay.ToCore(), [.. Layers.Select(l => new Layer(l.Glaze.ToCore(), l.Coats, l.Where, l.FiredAt))])
    {
        BisquedAt = BisquedAt,
        ForFood = ForFood,
        BareFootMm = BareFootMm,
        OnCatcher = OnCatcher,
        OnStilts = OnStilts,
        WallMm = WallMm,
        Lid = Lid,
        Steep = Steep,
        TestTile = TestTile,
        Owner = Member,
        Dryness = Dryness,
        DrySince = DrySince,
        SingleFire = SingleFire,
        OutsideMaterial = OutsideMaterial,
        Tested = Tested,
        Release = Release?.ToCore(),
    };
}

/// <summary>A firing that ware is checked against.</summary>
public sealed record CheckedFiringContract : FiringAimContract
{
    /// <summary>The hottest cone the kiln's maker allows, in the same series.</summary>
    public Cone? KilnRatedCone { get; init; }

    /// <summary>True when the programme begins as slowly as a bisque.</summary>
    public bool? BisqueStart { get; init; }

    /// <summary>When it is to be lit.</summary>
    public Instant? At { get; init; }

    /// <summary>What the kiln is to do, with a rate for every segment; absent where it is not known.</summary>
    public ScheduleContract? Schedule { get; init; }

    /// <summary>True when a technician has said that the cone is meant as written: 06 is not 6.</summary>
    public bool ConeIsMeant { get; init; }

    /// <summary>The firing in Core's terms.</summary>
    public FiringPlan ToPlan() => new(Kind, Cone, Series, Atmosphere)
    {
        KilnRatedCone = KilnRatedCone,
        BisqueStart = BisqueStart,
        At = At,
        Schedule = Schedule?.ToCore(),
        ConeIsMeant = ConeIsMeant,
    };
}

/// <summary>A load to be checked.</summary>
public sealed record CoFiringQuestion
{
    /// <summary>The firing.</summary>
    public required CheckedFiringContract Firing { get; init; }

    /// <summary>The ware, one piece at the least.</summary>
    public required IReadOnlyList<WareContract> Pieces { get; init; }
}

/// <summary>What the rules say of one piece.</summary>
public sealed record PieceVerdictContract
{
    /// <summary>The piece.</summary>
    public required string Id { get; init; }

    /// <summary>Worst over kiln and others, findings between pieces that name it included.</summary>
    public required Verdict Verdict { get; init; }

    /// <summary>Worst for this piece only.</summary>
    public required Verdict Self { get; init; }

    /// <summary>Worst for who eats from it; null where it is not for food, otherwise never compatible.</summary>
    public required Verdict? Use { get; init; }

    /// <summary>What was found on it.</summary>
    public required IReadOnlyList<FindingContract> Findings { get; init; }
}

/// <summary>The verdict on a load.</summary>
public sealed record CoFiringAnswerContract
{
    /// <summary>Worst over kiln and others.</summary>
    public required Verdict Verdict { get; init; }

    /// <summary>What follows for a booking.</summary>
    public required Gate Gate { get; init; }

    /// <summary>Piece by piece.</summary>
    public required IReadOnlyList<PieceVerdictContract> Pieces { get; init; }

    /// <summary>What was found between pieces, or on the firing itself.</summary>
    public required IReadOnlyList<FindingContract> Between { get; init; }

    /// <summary>The cones at which everything this kind of firing must satisfy is within range; null when none.</summary>
    public required ConeRangeContract? ConeWindow { get; init; }

    /// <summary>The firing's cone and its temperature, so that 6 and 06 are not confused.</summary>
    public required ConeEquivalentContract? FiringCone { get; init; }

    /// <summary>The contract of an answer.</summary>
    public static CoFiringAnswerContract Of(CoFiringAnswer answer, FiringAim aim) => new()
    {
        Verdict = answer.Verdict,
        Gate = answer.Gate,
        Pieces = [.. answer.Pieces.Select(p =>
            new PieceVerdictContract { Id = p.Id, Verdict = p.Verdict, Self = p.Self, Use = p.Use, Findings = [.. p.Findings.Select(FindingContract.Of)] })],
        Between = [.. answer.Between.Select(FindingContract.Of)],
        ConeWindow = ConeRangeContract.Of(answer.ConeWindow),
        FiringCone = ConeEquivalentContract.At(aim.Series, aim.Cone),
    };
}

internal sealed class CoFiringValidator : AbstractValidator<CoFiringQuestion>
{
    private const int MostPieces = 2000;

    public CoFiringValidator()
    {
        RuleFor(q => q.Pieces).NotEmpty().WithErrorCode("cofiring.no-pieces").WithMessage("Takes one piece at the least.");
        RuleFor(q => q.Pieces).AtMost(MostPieces);
        RuleFor(q => q.Pieces).Must(p => p.Select(w => w.Id).Distinct(StringComparer.Ordinal).Count() == p.Count)
            .WithErrorCode("cofiring.same-id").WithMessage("Two pieces have the same id. Give each its own.");
        RuleForEach(q => q.Pieces).SetValidator(new WareValidator());
    }
}

internal sealed class WareValidator : AbstractValidator<WareContract>
{
    public WareValidator()
    {
        RuleFor(w => w.Id).Line(120);
        RuleFor(w => w.Member).OptionalLine(120);
        RuleFor(w => w.Stage).Must(s => s != Stage.Lost).WithErrorCode("cofiring.lost")
            .WithMessage("Lost ware is not fired. Takes greenware, bisque, glazed or finished.");
        RuleFor(w => w.BareFootMm).Within(0m, PieceLimits.MaxWallMm, 3);
        RuleFor(w => w.WallMm).Within(0.001m, PieceLimits.MaxWallMm, 3);
        RuleFor(w => w.Clay).SetValidator(new ClayValidator());
        RuleFor(w => w.Layers).AtMost(PieceLimits.MaxLayers);
        RuleFor(w => w.Release!).SetValidator(new ReleaseValidator()).When(w => w.Release is not null);
        RuleForEach(w => w.Layers).ChildRules(layer =>
        {
            layer.RuleFor(l => l.Glaze).SetValidator(new GlazeValidator());
            layer.RuleFor(l => l.Coats).InclusiveBetween(1, PieceLimits.MaxCoats).WithMessage($"Takes 1 to {PieceLimits.MaxCoats} coats.");
            layer.RuleFor(l => l.Where).OptionalLine(120);
        });
    }
}
