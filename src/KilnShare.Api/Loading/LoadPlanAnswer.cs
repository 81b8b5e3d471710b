using KilnShare.Core.Common;
using KilnShare.Core.Loading;

namespace KilnShare.Api.Loading;

/// <summary>Where one piece, or a stack of alike copies, stands.</summary>
public sealed record PlacementContract
{
    /// <summary>The piece.</summary>
    public required string PieceId { get; init; }

    /// <summary>Which copies; more than one where stacked, the lowest first.</summary>
    public required IReadOnlyList<int> Copies { get; init; }

    /// <summary>Of its footprint's origin, from the centre of the chamber.</summary>
    public required Length XMm { get; init; }

    /// <summary>Of its footprint's origin, from the centre of the chamber.</summary>
    public required Length YMm { get; init; }

    /// <summary>Anticlockwise, degrees to three decimals.</summary>
    public required decimal RotationDeg { get; init; }

    /// <summary>True when it rises past the underside of the next shelf, where a half is missing.</summary>
    public required bool OpenAbove { get; init; }
}

/// <summary>A shelf in its place with what stands on it.</summary>
public sealed record PlacedShelfContract
{
    /// <summary>Its number, from the lowest.</summary>
    public required int Index { get; init; }

    /// <summary>Its kind.</summary>
    public required string ShelfId { get; init; }

    /// <summary>Of its footprint's origin.</summary>
    public required Length XMm { get; init; }

    /// <summary>Of its footprint's origin.</summary>
    public required Length YMm { get; init; }

    /// <summary>Anticlockwise, degrees.</summary>
    public required decimal RotationDeg { get; init; }

    /// <summary>Its upper face over the floor.</summary>
    public required Length TopMm { get; init; }

    /// <summary>Least clear height over it, to the next shelf or the lid less its clearance.</summary>
    public required Length ClearAboveMm { get; init; }

    /// <summary>Footprints without gaps, a stack once, over the shelf's area.</summary>
    public required decimal AreaUse { get; init; }

    /// <summary>
    /// How far hands may be off before two pieces touch: half of the least distance between a piece on it and another beside it, rounded down to a tenth.
    /// Pieces that may touch each other do not count; null where no two stand beside each other. Worked out anew in a plan that is sent.
    /// </summary>
    /// <example>4.6</example>
    public Length? HandsMayBeOffMm { get; init; }

    /// <summary>What stands on it.</summary>
    public required IReadOnlyList<PlacementContract> Placements { get; init; }
}

/// <summary>A post in its place.</summary>
public sealed record PlacedPostContract
{
    /// <summary>Its axis.</summary>
    public required Length XMm { get; init; }

    /// <summary>Its axis.</summary>
    public required Length YMm { get; init; }

    /// <summary>Its foot over the floor.</summary>
    public required Length FromMm { get; init; }

    /// <summary>Its head over the floor.</summary>
    public required Length ToMm { get; init; }

    /// <summary>Lengths it is made of, the lowest first.</summary>
    public required IReadOnlyList<Length> HeightsMm { get; init; }

    /// <summary>Index of the shelf under its foot; null the floor.</summary>
    public required int? StandsOn { get; init; }

    /// <summary>Indexes of the shelves on it.</summary>
    public required IReadOnlyList<int> Carries { get; init; }
}

/// <summary>Copies of one piece without a place.</summary>
public sealed record UnplacedContract
{
    /// <summary>The piece.</summary>
    public required string PieceId { get; init; }

    /// <summary>Which copies.</summary>
    public required IReadOnlyList<int> Copies { get; init; }

    /// <summary>too-tall, too-wide, cannot-fit (proven) or no-place-found (searched, not proven).</summary>
    /// <example>no-place-found</example>
    public required string Reason { get; init; }

    /// <summary>The contract of copies without a place.</summary>
    public static UnplacedContract Of(UnplacedCopies copies) =>
        new() { PieceId = copies.PieceId, Copies = copies.Copies, Reason = LoadPlanContract.Word(copies.Reason) };
}

/// <summary>Where everything stands.</summary>
public sealed record LoadPlanContract
{
    private static readonly Dictionary<UnplacedReason, string> Reasons = new()
    {
        [UnplacedReason.TooTall] = "too-tall",
        [UnplacedReason.TooWide] = "too-wide",
        [UnplacedReason.CannotFit] = "cannot-fit",
        [UnplacedReason.NoPlaceFound] = "no-place-found",
    };

    /// <summary>From the lowest up.</summary>
    public required IReadOnlyList<PlacedShelfContract> Shelves { get; init; }

    /// <summary>From the lowest up.</summary>
    public IReadOnlyList<PlacedPostContract> Posts { get; init; } = [];

    /// <summary>What has no place, and why.</summary>
    public IReadOnlyList<UnplacedContract> Unplaced { get; init; } = [];

    /// <summary>Top of the highest ware over the floor.</summary>
    public Length TopMm { get; init; }

    /// <summary>Sum of the priorities of the placed copies.</summary>
    public decimal PlacedWeight { get; init; }

    /// <summary>No plan places more.</summary>
    public decimal WeightBound { get; init; }

    /// <summary>Why the search stopped.</summary>
    public StopReason Stopped { get; init; }

    /// <summary>How many iterations it did.</summary>
    public long Iterations { get; init; }

    /// <summary>How long it took, ms.</summary>
    public long ElapsedMs { get; init; }

    /// <summary>What to take out, in what order to load, and what to look at twice; absent in a plan that is sent.</summary>
    public LoadAdviceContract? Advice { get; init; }

    /// <summary>What would have to go for the pieces of makeRoomFor to fit; null where that was not asked, not needed or not found.</summary>
    public RoomMadeContract? MakeRoom { get; init; }

    /// <summary>The word for a reason.</summary>
    public static string Word(UnplacedReason reason) => Reasons[reason];

    /// <summary>The plan in Core's terms.</summary>
    public LoadPlan ToCore() => new(
        [.. Shelves.Select(s => new PlacedShelf(
            s.Index, s.ShelfId, s.XMm, s.YMm, (int)(s.RotationDeg * 1000), s.TopMm, s.ClearAboveMm, s.AreaUse,
            [.. s.Placements.Select(p => new Placement(p.PieceId, p.Copies, p.XMm, p.YMm, (int)(p.RotationDeg * 1000), p.OpenAbove))]))],
        [.. Posts.Select(p => new PlacedPost(p.XMm, p.YMm, p.FromMm, p.ToMm, p.HeightsMm, p.StandsOn, p.Carries))],
        [.. Unplaced.Select(
            u => new UnplacedCopies(u.PieceId, u.Copies, Reasons.FirstOrDefault(r => r.Value == u.Reason, new(UnplacedReason.NoPlaceFound, "")).Key))],
        TopMm, PlacedWeight, WeightBound, Stopped, Iterations);

    /// <summary>The contract of a plan.</summary>
    public static LoadPlanContract Of(LoadPlan plan, LoadProblem? problem, long elapsedMs) => new()
    {
        Advice = problem is null ? null : LoadAdviceContract.Of(LoadSummary.Of(problem, plan)),
        Shelves = [.. plan.Shelves.Select(s => new PlacedShelfContract
        {
            Index = s.Index,
            ShelfId = s.ShelfId,
            XMm = s.X,
            YMm = s.Y,
            RotationDeg = s.RotationThousandths / 1000m,
            TopMm = s.Top,
            ClearAboveMm = s.ClearAbove,
            AreaUse = s.AreaUse,
            HandsMayBeOffMm = s.HandsMayBeOff,
            Placements = [.. s.Placements.Select(p => new PlacementContract { PieceId = p.PieceId, Copies = p.Copies, XMm = p.X, YMm = p.Y,
                RotationDeg = p.RotationThousandths / 1000m, OpenAbove = p.OpenAbove })],
        })],
        Posts = [.. plan.Posts.Select(p =>
            new PlacedPostContract { XMm = p.X, YMm = p.Y, FromMm = p.From, ToMm = p.To, HeightsMm = p.Heights, StandsOn = p.StandsOn, Carries = p.Carries })],
        Unplaced = [.. plan.Unplaced.Select(UnplacedContract.Of)],
        TopMm = plan.Top,
        PlacedWeight = plan.PlacedWeight,
        WeightBound = plan.WeightBound,
        Stopped = plan.Stopped,
        Iterations = plan.Iterations,
        ElapsedMs = elapsedMs,
    };
}
