using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Api.Kilns;
using KilnShare.Api.Pieces;
using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;

namespace KilnShare.Api.Loading;

/// <summary>How alike copies may stand on each other.</summary>
public sealed record StackContract
{
    /// <summary>Copies in one stack at most, the lowest included.</summary>
    /// <example>4</example>
    public required int Most { get; init; }

    /// <summary>What each further copy adds to the height.</summary>
    /// <example>22</example>
    public required Length AddMm { get; init; }
}

/// <summary>Alike ware to be placed.</summary>
public sealed record LoadPieceContract
{
    /// <summary>Its name within this question.</summary>
    /// <example>mug</example>
    public required string Id { get; init; }

    /// <summary>Its outline from above, without any gap.</summary>
    public required ShapeContract Footprint { get; init; }

    /// <summary>Its height.</summary>
    /// <example>110</example>
    public required Length HeightMm { get; init; }

    /// <summary>Mass of one, g.</summary>
    /// <example>380</example>
    public decimal? MassG { get; init; }

    /// <summary>How many copies.</summary>
    /// <example>2</example>
    public int Quantity { get; init; } = 1;

    /// <summary>Weight of one copy: as much of it as can be is placed.</summary>
    /// <example>1</example>
    public decimal Priority { get; init; } = 1;

    /// <summary>False keeps rotation 0.</summary>
    public bool MayTurn { get; init; } = true;

    /// <summary>True on two pieces: no gap between them.</summary>
    public bool Touch { get; init; }

    /// <summary>How alike copies may stand on each other.</summary>
    public StackContract? Stack { get; init; }

    /// <summary>Whose it is, to keep ware together where it costs nothing.</summary>
    public string? Group { get; init; }

    /// <summary>Where it would rather stand, by heatZones; it gets it where that costs nothing.</summary>
    public Heat? Wish { get; init; }

    /// <summary>In Core's terms.</summary>
    public LoadPiece ToCore()
    {
        var stack = Stack is null ? null : new StackRule(Stack.Most, Stack.AddMm);
        return new LoadPiece(Id, Footprint.ToCore(), HeightMm, MassG, Quantity, Priority, MayTurn, Touch, stack, Group) { Wish = Wish };
    }
}

/// <summary>Room that ware, posts and shelves stay out of.</summary>
public sealed record KeepOutContract
{
    /// <summary>Its outline.</summary>
    public required ShapeContract Footprint { get; init; }

    /// <summary>Where its origin is.</summary>
    public required Length XMm { get; init; }

    /// <summary>Where its origin is.</summary>
    public required Length YMm { get; init; }

    /// <summary>Its lower end over the floor.</summary>
    public required Length FromMm { get; init; }

    /// <summary>Its upper end over the floor.</summary>
    public required Length ToMm { get; init; }

    /// <summary>In Core's terms.</summary>
    public KeepOut ToCore() => new(Footprint.ToCore(), new PlanPoint(XMm.Micrometres, YMm.Micrometres), FromMm, ToMm);

    /// <summary>The contract of a keep-out.</summary>
    public static KeepOutContract Of(KeepOut keepOut) => new()
    {
        Footprint = ShapeContract.Of(keepOut.Footprint),
        XMm = new Length(keepOut.At.X),
        YMm = new Length(keepOut.At.Y),
        FromMm = keepOut.From,
        ToMm = keepOut.To,
    };
}

/// <summary>A part of the chamber's height that witness cones show to fire hotter or cooler.</summary>
public sealed record HeatZoneContract
{
    /// <summary>Its lower end over the floor.</summary>
    public required Length FromMm { get; init; }

    /// <summary>Its upper end over the floor.</summary>
    public required Length ToMm { get; init; }

    /// <summary>How it fires against the rest.</summary>
    public required Heat Heat { get; init; }
}

/// <summary>A copy that stays where the start plan has it.</summary>
public sealed record PinnedContract
{
    /// <summary>The piece.</summary>
    public required string PieceId { get; init; }

    /// <summary>The copy, from 0.</summary>
    public required int Copy { get; init; }
}

/// <summary>How long to search.</summary>
public sealed record SearchContract
{
    /// <summary>Longest search, ms.</summary>
    public const int MostMilliseconds = 10_000;

    /// <summary>Most iterations.</summary>
    public const long MostIterations = 100_000_000;

    /// <summary>Milliseconds; 500 where neither is given.</summary>
    /// <example>500</example>
    public int? Milliseconds { get; init; }

    /// <summary>Iterations instead: same request, same seed, same answer on any machine.</summary>
    public long? Iterations { get; init; }

    /// <summary>The seed.</summary>
    /// <example>1</example>
    public long Seed { get; init; } = 1;
}

/// <summary>A kiln to be loaded.</summary>
public sealed record LoadPlanQuestion
{
    /// <summary>The space inside the kiln.</summary>
    public required ChamberContract Chamber { get; init; }

    /// <summary>Shelves and posts.</summary>
    public required FurnitureContract Furniture { get; init; }

    /// <summary>Distances to keep.</summary>
    public SpacingContract Spacing { get; init; } = new();

    /// <summary>The ware.</summary>
    public required IReadOnlyList<LoadPieceContract> Pieces { get; init; }

    /// <summary>Room to stay out of, such as a thermocouple's.</summary>
    public IReadOnlyList<KeepOutContract> KeepOuts { get; init; } = [];

    /// <summary>Parts of the height that fire hotter or cooler, for pieces with a wish.</summary>
    public IReadOnlyList<HeatZoneContract> HeatZones { get; init; } = [];

    /// <summary>An earlier answer to start from.</summary>
    public LoadPlanContract? Start { get; init; }

    /// <summary>What of the start stays.</summary>
    /// <example>none</example>
    public Keep Keep { get; init; }

    /// <summary>The copies that stay with keep: pinned.</summary>
    public IReadOnlyList<PinnedContract> Pinned { get; init; } = [];

    /// <summary>Pieces that should fit whatever it takes: where they did not, the answer says what would have to go.</summary>
    public IReadOnlyList<string> MakeRoomFor { get; init; } = [];

    /// <summary>How long to search; with makeRoomFor half of it is for what would have to go.</summary>
    public SearchContract Search { get; init; } = new();

    /// <summary>The problem in Core's terms, or what is wrong with it.</summary>
    public Result<LoadProblem> ToCore() => LoadProblem.Create(
        Chamber.ToCore(), Furniture.ToCore(), new KilnSpacing(Spacing.GapMm, Spacing.HeadroomMm, Spacing.ShelfGapMm),
        [.. Pieces.Select(p => p.ToCore())],
        [.. KeepOuts.Select(k => k.ToCore())],
        Start?.ToCore(), Keep, [.. Pinned.Select(p => new PinnedCopy(p.PieceId, p.Copy))],
        [.. HeatZones.Select(z => new HeatZone(z.FromMm, z.ToMm, z.Heat))]);
}

internal sealed class LoadPlanValidator : AbstractValidator<LoadPlanQuestion>
{
    public LoadPlanValidator()
    {
        RuleFor(q => q.Chamber).SetValidator(new ChamberValidator());
        RuleFor(q => q.Furniture).SetValidator(new FurnitureValidator());
        RuleFor(q => q.Spacing).SetValidator(new SpacingValidator());
        RuleFor(q => q.Pieces).AtMost(LoadLimits.MaxCopies);
        RuleForEach(q => q.Pieces).ChildRules(piece =>
        {
            piece.RuleFor(p => p.Id).Line(120);
            piece.RuleFor(p => p.Footprint).SetValidator(new ShapeValidator());
            piece.RuleFor(p => p.HeightMm).Within(new Length(1), PieceLimits.MaxSide);
            piece.RuleFor(p => p.MassG).Within(0m, PieceLimits.MaxMassG, 3);
            piece.RuleFor(p => p.Group).OptionalLine(120);
        });
        RuleForEach(q => q.KeepOuts).ChildRules(k => k.RuleFor(x => x.Footprint).SetValidator(new ShapeValidator()));
        RuleForEach(q => q.MakeRoomFor).Must((q, id) => q.Pieces.Any(p => string.Equals(p.Id, id, StringComparison.Ordinal))).WithMessage("Takes the id of a piece of this question.");
        RuleFor(q => q.MakeRoomFor).AtMost(LoadLimits.MaxCopies);
        RuleFor(q => q.HeatZones).AtMost(LoadLimits.MaxHeatZones);
        RuleFor(q => q.Search).ChildRules(search =>
        {
            search.RuleFor(s => s.Iterations).InclusiveBetween(0, SearchContract.MostIterations).WithMessage($"Takes 0 to {SearchContract.MostIterations} iterations.");
            search.RuleFor(s => s.Iterations).Must((s, i) => i is null || s.Milliseconds is null).WithMessage("Give milliseconds or iterations, not both.");
            search.RuleFor(s => s.Milliseconds).GreaterThanOrEqualTo(0).WithMessage("Takes 0 milliseconds or more.");
        });
    }
}
