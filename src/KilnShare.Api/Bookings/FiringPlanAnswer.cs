using KilnShare.Api.Loading;
using KilnShare.Core.Bookings;
using KilnShare.Core.Loading;

namespace KilnShare.Api.Bookings;

/// <summary>Whose ware a name in the plan is.</summary>
public sealed record PlannedPieceContract
{
    /// <summary>Its name in the plan.</summary>
    public required string PieceId { get; init; }

    /// <summary>The booking.</summary>
    public required Guid BookingId { get; init; }

    /// <summary>The piece of the studio.</summary>
    public required Guid StudioPieceId { get; init; }

    /// <summary>The numbers its copies have in the studio, in the order of the plan's copies.</summary>
    public required IReadOnlyList<int> StudioCopies { get; init; }

    /// <summary>What it is.</summary>
    public required string Name { get; init; }

    /// <summary>The sign under the foot.</summary>
    public required string? Mark { get; init; }

    /// <summary>Whose it is.</summary>
    public required Guid MemberId { get; init; }
}

/// <summary>A firing's published plan.</summary>
public sealed record FiringPlanAnswer
{
    /// <summary>Its version: raised by every booking, change and withdrawal.</summary>
    public required long LoadVersion { get; init; }

    /// <summary>Shelves, posts and placements.</summary>
    public required LoadPlanContract Plan { get; init; }

    /// <summary>Whose ware stands where.</summary>
    public required IReadOnlyList<PlannedPieceContract> Pieces { get; init; }

    /// <summary>The answer for a room.</summary>
    public static FiringPlanAnswer Of(FiringRoom room) => new()
    {
        LoadVersion = room.LoadVersion,
        Plan = LoadPlanContract.Of(room.CurrentPlan(), room.Problem([], Keep.None).TryGet(out var problem, out _) ? problem : null, 0),
        Pieces = [.. room.Held.GroupBy(h => (h.BookingId, h.PieceId)).Select(piece => new PlannedPieceContract
        {
            PieceId = FiringRoom.NameOf(piece.First()),
            BookingId = piece.Key.BookingId.Value,
            StudioPieceId = piece.Key.PieceId.Value,
            StudioCopies = [.. piece.Select(h => h.Copy).Order()],
            Name = piece.First().Frozen.Name,
            Mark = piece.First().Frozen.Mark,
            MemberId = piece.First().Frozen.MemberId.Value,
        })],
    };
}
