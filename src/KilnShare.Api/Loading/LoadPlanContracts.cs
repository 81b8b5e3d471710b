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
