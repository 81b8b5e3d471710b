using System.Text.Json.Serialization;
using KilnShare.Api.CoFiring;
using KilnShare.Api.Loading;
using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Loading;
using KilnShare.Storage.Bookings;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Whose ware a name in the plan is.</summary>
public sealed record PlannedPieceContract
{
    /// <summary>Its name in the plan.</summary>
    public required string PieceId { get; init; }

    /// <summary>The booking.</summary>
    public required Guid BookingId { get; init; }

    /// <summary>The piece of the studio; null for reserved room.</summary>
    public required Guid? StudioPieceId { get; init; }

    /// <summary>The numbers its copies have in the studio, in the order of the plan's copies.</summary>
    public required IReadOnlyList<int> StudioCopies { get; init; }

    /// <summary>What it is.</summary>
    public required string Name { get; init; }

    /// <summary>The sign under the foot.</summary>
    public required string? Mark { get; init; }

    /// <summary>Whose it is.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>The place it would rather have; left out where that does not matter. The plan's advice tells what could not be met.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Heat? Wish { get; init; }
}

/// <summary>A level of the kiln that is usually hotter or cooler, and what had better not stand there.</summary>
public sealed record PlanLevelContract
{
    /// <summary>The level, in the studio's words.</summary>
    public required string Level { get; init; }

    /// <summary>Usual difference from the target, °C of the cone table.</summary>
    public required double DifferenceC { get; init; }

    /// <summary>One standard deviation of it.</summary>
    public required double UncertaintyC { get; init; }

    /// <summary>On how many firings it rests.</summary>
    public required int Firings { get; init; }

    /// <summary>The same in words.</summary>
    public required string Message { get; init; }

    /// <summary>Pieces of the plan that it would take out of their range: stand them on another level.</summary>
    public required IReadOnlyList<string> KeepOffPieceIds { get; init; }

    /// <summary>The levels of a room, with the pieces to keep off each.</summary>
    public static IReadOnlyList<PlanLevelContract> Of(FiringRoom room)
    {
        var misfits = room.Held.Where(h => !h.IsRoom).GroupBy(FiringRoom.NameOf, StringComparer.Ordinal)
            .SelectMany(piece => LevelHeat.Misfits(room.Plan, piece.First().Frozen.FiredWare()).Select(m => (m.Level.Level, PieceId: piece.Key)))
            .ToLookup(m => m.Level, m => m.PieceId, StringComparer.Ordinal);
        return [.. room.Levels.Where(l => l.DifferenceC is not null).Select(l => new PlanLevelContract
        {
            Level = l.Level,
            DifferenceC = Math.Round(l.DifferenceC!.Value, 1),
            UncertaintyC = Math.Round(l.UncertaintyC!.Value, 1),
            Firings = l.Firings,
            Message = l.Message,
            KeepOffPieceIds = [.. misfits[l.Level].Order(StringComparer.Ordinal)],
        })];
    }
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

    /// <summary>Levels of the kiln that its witness cones show to be hotter or cooler; hints for whoever loads.</summary>
    public required IReadOnlyList<PlanLevelContract> Levels { get; init; }

    /// <summary>
    /// Since when the kiln's shelves or posts are others than this plan stands on; null while it stands. Until it is planned anew with POST, nothing more is
    /// booked, fixed or loaded in its firing.
    /// </summary>
    public required Instant? FurnitureChangedAt { get; init; }

    /// <summary>
    /// What the rules say of ware in it by what its clays and glazes are known for now, and did not say when it was booked; empty while nothing is worse.
    /// Nobody is unbooked by it: change the booking, or let a technician decide before the kiln is loaded.
    /// </summary>
    public required IReadOnlyList<FindingContract> Doubts { get; init; }

    /// <summary>The answer for a firing.</summary>
    /// <param name="snapshot">The firing and its plan.</param>
    /// <param name="doubts">What became doubtful of its ware.</param>
    public static FiringPlanAnswer Of(RoomSnapshot snapshot, IReadOnlyList<Finding> doubts) => Of(snapshot.Room) with
    {
        FurnitureChangedAt = snapshot.Anew is null ? null : snapshot.MarkedAt,
        Doubts = [.. doubts.Select(FindingContract.Of)],
    };

    private static FiringPlanAnswer Of(FiringRoom room) => new()
    {
        FurnitureChangedAt = null,
        Doubts = [],
        LoadVersion = room.LoadVersion,
        Plan = LoadPlanContract.Of(room.CurrentPlan(), room.Problem([], Keep.None).TryGet(out var problem, out _) ? problem : null, 0),
        Levels = PlanLevelContract.Of(room),
        Pieces = [.. room.Held.GroupBy(h => (h.BookingId, h.PieceId)).Select(piece => new PlannedPieceContract
        {
            PieceId = FiringRoom.NameOf(piece.First()),
            BookingId = piece.Key.BookingId.Value,
            StudioPieceId = piece.First().IsRoom ? null : piece.Key.PieceId.Value,
            StudioCopies = [.. piece.Select(h => h.Copy).Order()],
            Name = piece.First().Frozen.Name,
            Mark = piece.First().Frozen.Mark,
            MemberId = piece.First().Frozen.MemberId.Value,
            Wish = piece.First().Frozen.Wish,
        })],
    };
}
