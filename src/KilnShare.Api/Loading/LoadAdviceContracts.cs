using KilnShare.Core.Common;
using KilnShare.Core.Loading;

namespace KilnShare.Api.Loading;

/// <summary>Something about a sound plan that the one who loads should know.</summary>
public sealed record LoadFindingContract
{
    /// <summary>Stable code.</summary>
    /// <example>loading.thin-shelf</example>
    public required string Code { get; init; }

    /// <summary>What it is, with figures, and what to do.</summary>
    public required string Message { get; init; }

    /// <summary>Index of the shelf.</summary>
    public required int Shelf { get; init; }
}

/// <summary>A step of loading: one piece, or a stack of alike copies.</summary>
public sealed record LoadStepContract
{
    /// <summary>Index of the shelf it goes onto.</summary>
    public required int Shelf { get; init; }

    /// <summary>The piece.</summary>
    public required string PieceId { get; init; }

    /// <summary>Which copies, the lowest first.</summary>
    public required IReadOnlyList<int> Copies { get; init; }
}

/// <summary>Posts of one length to take out.</summary>
public sealed record PostsNeededContract
{
    /// <summary>Their length.</summary>
    public required Length HeightMm { get; init; }

    /// <summary>How many.</summary>
    public required int Count { get; init; }
}

/// <summary>A point in the chamber.</summary>
public sealed record ChamberPointContract
{
    /// <summary>To the right of the centre.</summary>
    public required Length XMm { get; init; }

    /// <summary>Away from the loader.</summary>
    public required Length YMm { get; init; }

    /// <summary>Over the floor.</summary>
    public required Length ZMm { get; init; }
}

/// <summary>What the one who loads takes along beside the plan.</summary>
public sealed record LoadAdviceContract
{
    /// <summary>What should be looked at twice: tall stacked posts, thin shelves under weight.</summary>
    public required IReadOnlyList<LoadFindingContract> Findings { get; init; }

    /// <summary>The order of loading: shelf by shelf from the lowest, on each from the far side to the near.</summary>
    public required IReadOnlyList<LoadStepContract> Order { get; init; }

    /// <summary>Posts to take out, by length.</summary>
    public required IReadOnlyList<PostsNeededContract> Posts { get; init; }

    /// <summary>Mass of the placed ware of known mass, g.</summary>
    public required decimal WareMassG { get; init; }

    /// <summary>Placed copies whose mass is not known.</summary>
    public required int UnweighedCopies { get; init; }

    /// <summary>Centre of mass of the placed ware of known mass; null where none is known.</summary>
    public required ChamberPointContract? CentreOfMass { get; init; }

    /// <summary>The contract of a plan's summary.</summary>
    public static LoadAdviceContract Of(LoadSummary summary) => new()
    {
        Findings = [.. summary.Findings.Select(f => new LoadFindingContract { Code = f.Code, Message = f.Message, Shelf = f.Shelf })],
        Order = [.. summary.Order.Select(o => new LoadStepContract { Shelf = o.Shelf, PieceId = o.Placement.PieceId, Copies = o.Placement.Copies })],
        Posts = [.. summary.Posts.Select(p => new PostsNeededContract { HeightMm = p.Height, Count = p.Count })],
        WareMassG = summary.WareMassG,
        UnweighedCopies = summary.Unweighed,
        CentreOfMass = summary.CentreOfMass is { } c ? new ChamberPointContract { XMm = c.X, YMm = c.Y, ZMm = c.Z } : null,
    };
}

/// <summary>What would have to go for pieces to fit: the fewest and lightest that was found, not proven to be the least.</summary>
public sealed record RoomMadeContract
{
    /// <summary>The copies that would go.</summary>
    public required IReadOnlyList<PinnedContract> Leaving { get; init; }

    /// <summary>Sum of their priorities.</summary>
    public required decimal Weight { get; init; }

    /// <summary>The contract of what was found.</summary>
    public static RoomMadeContract Of(RoomMade made) => new()
    {
        Leaving = [.. made.Leaving.Select(c => new PinnedContract { PieceId = c.PieceId, Copy = c.Copy })],
        Weight = made.Weight,
    };
}
