using System.Text.Json.Serialization;
using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Api.Materials;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Api.Pieces;

/// <summary>One glaze on a piece.</summary>
public sealed record PieceLayerContract
{
    /// <summary>Which of the studio's glazes.</summary>
    public required Guid GlazeId { get; init; }

    /// <summary>How many coats.</summary>
    /// <example>2</example>
    public int Coats { get; init; } = 1;

    /// <summary>Where on the ware.</summary>
    /// <example>outside</example>
    public string? Where { get; init; }

    /// <summary>How it went on; absent where nobody said.</summary>
    /// <example>brushed</example>
    public CoatApplication? AppliedBy { get; init; }

    /// <summary>Which batch of the glaze it was: the maker's number, or an own one.</summary>
    /// <example>bucket 3</example>
    public string? Batch { get; init; }

    /// <summary>
    /// The firing of the route before which it goes on; absent: it is on. It counts from that firing on; where that is skipped, from the one taken
    /// instead.
    /// </summary>
    /// <example>glaze</example>
    public RouteFiring? GoesOnBefore { get; init; }

    /// <summary>
    /// The older way to say it, in requests only: what the ware must have been fired to before (greenware, bisque or glazed). Not beside
    /// goesOnBefore.
    /// </summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Stage? GoesOnAt { get; init; }

    /// <summary>In Core's terms.</summary>
    public PieceLayer ToCore() => new(new Id<StudioGlaze>(GlazeId), Coats, Where, GoesOnAt, GoesOnBefore) { AppliedBy = AppliedBy, Batch = Batch };

    /// <summary>The contract of a layer.</summary>
    /// <param name="layer">The layer.</param>
    /// <param name="kind">What sort of coat it is.</param>
    public static PieceLayerContract Of(PieceLayer layer, GlazeKind kind) => new()
    {
        GlazeId = layer.GlazeId.Value,
        Coats = layer.Coats,
        Where = layer.Where,
        AppliedBy = layer.AppliedBy,
        Batch = layer.Batch,
        GoesOnBefore = layer.BeforeFiring(kind),
    };
}

/// <summary>What a piece is made as: what its maker may change.</summary>
public record PieceMakingContract
{
    /// <summary>What it is.</summary>
    /// <example>tall cast bird</example>
    public required string Name { get; init; }

    /// <summary>The sign under the foot.</summary>
    /// <example>B7</example>
    public string? Mark { get; init; }

    /// <summary>Its outline from above, without any gap.</summary>
    public required ShapeContract Footprint { get; init; }

    /// <summary>Its height.</summary>
    /// <example>180</example>
    public required Length HeightMm { get; init; }

    /// <summary>Mass of one, g.</summary>
    /// <example>640</example>
    public decimal? MassG { get; init; }

    /// <summary>Which of the studio's clays.</summary>
    public required Guid ClayId { get; init; }

    /// <summary>Its glazes, the lowest first.</summary>
    public IReadOnlyList<PieceLayerContract> Layers { get; init; } = [];

    /// <summary>How dry it is, while it is greenware.</summary>
    public Dryness? Dryness { get; init; }

    /// <summary>Since when it has been dry.</summary>
    public Instant? DrySince { get; init; }

    /// <summary>True when someone is to eat or drink from it.</summary>
    public bool ForFood { get; init; }

    /// <summary>Bare clay above the foot, mm.</summary>
    /// <example>6</example>
    public decimal? BareFootMm { get; init; }

    /// <summary>True when it stands on a catcher.</summary>
    public bool OnCatcher { get; init; }

    /// <summary>Thickest wall, mm.</summary>
    public decimal? WallMm { get; init; }

    /// <summary>True when it stands on stilts.</summary>
    public bool OnStilts { get; init; }

    /// <summary>True when it is declared for one firing only, false when it is not to be.</summary>
    public bool? SingleFire { get; init; }

    /// <summary>True when its clay or glaze was brought in from outside the studio.</summary>
    public bool OutsideMaterial { get; init; }

    /// <summary>True when a test of these very materials has been fired here.</summary>
    public bool Tested { get; init; }

    /// <summary>True for ware made to try something out: tiles, first coats of a glaze. A studio may charge it less.</summary>
    public bool TestWare { get; init; }

    /// <summary>A laboratory's release figures for this ware; recorded and compared with limits, never a word of safety.</summary>
    public ReleaseContract? Release { get; init; }

    /// <summary>Where its lid is while it is fired; absent where it has none.</summary>
    public Lid? Lid { get; init; }

    /// <summary>True when steep walls or undercut relief let a coat slide further.</summary>
    public bool Steep { get; init; }

    /// <summary>True when it is a test tile, which nobody minds losing.</summary>
    public bool TestTile { get; init; }

    /// <summary>True when it may be turned on the shelf.</summary>
    public bool MayTurn { get; init; } = true;

    /// <summary>In Core's terms.</summary>
    public PieceMaking ToCore() => new(Name, Footprint.ToCore(), HeightMm, new Id<StudioClay>(ClayId))
    {
        Mark = Mark,
        MassG = MassG,
        Layers = [.. Layers.Select(l => l.ToCore())],
        ForFood = ForFood,
        BareFootMm = BareFootMm,
        OnCatcher = OnCatcher,
        WallMm = WallMm,
        OnStilts = OnStilts,
        SingleFire = SingleFire,
        OutsideMaterial = OutsideMaterial,
        Tested = Tested,
        TestWare = TestWare,
        Release = Release?.ToCore(),
        MayTurn = MayTurn,
        Lid = Lid,
        Steep = Steep,
        TestTile = TestTile,
    };
}

/// <summary>What a piece is.</summary>
public record PieceBody : PieceMakingContract
{
    /// <summary>How many alike; copies are numbered from 0.</summary>
    /// <example>1</example>
    public int Quantity { get; init; } = 1;

    /// <summary>What it has been fired to when it is written down.</summary>
    /// <example>bisque</example>
    public Stage Stage { get; init; }

    /// <summary>The cone of its bisque, where that is done.</summary>
    public Cone? BisquedAt { get; init; }
}

/// <summary>A piece to be written down.</summary>
public sealed record NewPieceBody : PieceBody
{
    /// <summary>Whose it is; absent: the asker's. A technician may write down another member's.</summary>
    public Guid? MemberId { get; init; }
}

internal abstract class PieceMakingValidator<T> : AbstractValidator<T>
    where T : PieceMakingContract
{
    protected PieceMakingValidator()
    {
        RuleFor(p => p.Name).Name();
        RuleFor(p => p.Mark).OptionalLine(PieceLimits.MaxMark);
        RuleFor(p => p.Footprint).SetValidator(new ShapeValidator());
        RuleFor(p => p.HeightMm).Within(new Length(1), PieceLimits.MaxSide);
        RuleFor(p => p.MassG).Within(0.001m, PieceLimits.MaxMassG, 3);
        RuleFor(p => p.Layers).AtMost(PieceLimits.MaxLayers);
        RuleForEach(p => p.Layers).ChildRules(layer =>
        {
            layer.RuleFor(l => l.Coats).Within(1, PieceLimits.MaxCoats);
            layer.RuleFor(l => l.Where).OptionalLine(StudioLimits.MaxName);
            layer.RuleFor(l => l.Batch).OptionalLine(PieceLimits.MaxBatch);
            layer.RuleFor(l => l.GoesOnAt).Must(s => s is null or Stage.Greenware or Stage.Bisque or Stage.Glazed)
                .WithErrorCode("pieces.goes-on-at").WithMessage("A coat goes on greenware, bisque or glazed ware.");
            layer.RuleFor(l => l.GoesOnAt).Null().When(l => l.GoesOnBefore is not null)
                .WithErrorCode("pieces.goes-on-twice").WithMessage("Say once when the coat goes on: by goesOnBefore, the firing before which it goes on.");
        });
        RuleFor(p => p.Layers).Must(l => l.Zip(l.Skip(1)).All(pair => CoatsInTime.MayFollow(pair.First.ToCore(), pair.Second.ToCore())))
            .WithErrorCode("pieces.layer-order")
                .WithMessage("List the coats in the order they go on: what goes on after a firing stands after what is on before it.");
        RuleFor(p => p.BareFootMm).Within(0m, PieceLimits.MaxWallMm, 3);
        RuleFor(p => p.WallMm).Within(0.001m, PieceLimits.MaxWallMm, 3);
        RuleFor(p => p.Release!).SetValidator(new ReleaseValidator()).When(p => p.Release is not null);
    }
}

internal sealed class PieceMakingValidator : PieceMakingValidator<PieceMakingContract>;

internal sealed class NewPiecesValidator : BatchValidator<NewPieceBody>
{
    public NewPiecesValidator() => RuleFor(b => b.Lines).Must(l => l.Sum(p => (long)p.Quantity) <= PieceLimits.MaxBatchCopies)
        .WithErrorCode("request.too-many")
            .WithMessage($"A batch takes {PieceLimits.MaxBatchCopies} copies of all its pieces together at most. Send it in parts.");
}

internal sealed class NewPieceValidator : PieceMakingValidator<NewPieceBody>
{
    public NewPieceValidator()
    {
        RuleFor(p => p.Quantity).Within(1, PieceLimits.MaxQuantity);
        RuleFor(p => p.Stage).Must(s => s is Stage.Greenware or Stage.Bisque).WithErrorCode("pieces.stage")
            .WithMessage("A piece is written down as greenware or bisque; firings here take it further.");
    }
}
