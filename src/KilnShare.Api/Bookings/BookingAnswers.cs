using System.Text.Json.Serialization;
using KilnShare.Api.CoFiring;
using KilnShare.Api.Pieces;
using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>A technician's yes, as it stands on a booking.</summary>
public sealed record ApprovalContract
{
    /// <summary>Who said it; null where it was not written down.</summary>
    public required Guid? MemberId { get; init; }

    /// <summary>That member's name.</summary>
    public required string? Name { get; init; }

    /// <summary>Why it may go in all the same.</summary>
    public required string Reason { get; init; }

    /// <summary>When; null where it was not written down.</summary>
    public required Instant? At { get; init; }

    /// <summary>The contract of the yes to a booking; null where nobody has said one.</summary>
    public static ApprovalContract? Of(Booking booking, string? approver) => booking.TechnicianReason is not { } reason ? null
        : new() { MemberId = booking.ApprovedBy?.Value, Name = approver, Reason = reason, At = booking.ApprovedAt };
}

/// <summary>Why a booking was let go.</summary>
public sealed record LetGoContract
{
    /// <summary>What happened, and what to do.</summary>
    public required string Reason { get; init; }

    /// <summary>When.</summary>
    public required Instant At { get; init; }

    /// <summary>The contract of it; null where the booking was not let go.</summary>
    public static LetGoContract? Of(Booking booking) => booking is { LetGoReason: { } reason, LetGoAt: { } at } ? new() { Reason = reason, At = at } : null;
}

/// <summary>Why a booking ahead may come to nothing.</summary>
public sealed record DoubtContract
{
    /// <summary>A stable word for it.</summary>
    public required string Code { get; init; }

    /// <summary>What to do about it.</summary>
    public required string Message { get; init; }

    /// <summary>The contract of a doubt; null for none.</summary>
    public static DoubtContract? Of(BookingDoubt? doubt) => doubt is null ? null : new() { Code = doubt.Code, Message = doubt.Message };
}

/// <summary>One booked copy and where it stands.</summary>
public sealed record BookedCopyAnswer
{
    /// <summary>The piece; null for reserved room.</summary>
    public required Guid? PieceId { get; init; }

    /// <summary>Which copy.</summary>
    public required int Copy { get; init; }

    /// <summary>The sign under its foot.</summary>
    public required string? Mark { get; init; }

    /// <summary>The outline that room is kept for; left out for a piece.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public ShapeContract? Footprint { get; init; }

    /// <summary>The height that room is kept for; left out for a piece.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Length? HeightMm { get; init; }

    /// <summary>The place it would rather have; left out where that does not matter.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Heat? Wish { get; init; }

    /// <summary>Index of its shelf in the plan; null while it has no place.</summary>
    public required int? Shelf { get; init; }

    /// <summary>Of its footprint's origin.</summary>
    public required Length? XMm { get; init; }

    /// <summary>Of its footprint's origin.</summary>
    public required Length? YMm { get; init; }

    /// <summary>What stands against it, where something became of a firing that must come first.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public DoubtContract? Doubt { get; init; }

    /// <summary>The answer for a copy.</summary>
    public static BookedCopyAnswer Of(HeldCopy held) => new()
    {
        PieceId = held.IsRoom ? null : held.PieceId.Value,
        Copy = held.Copy,
        Footprint = held.IsRoom ? ShapeContract.Of(held.Frozen.Footprint) : null,
        HeightMm = held.IsRoom ? held.Frozen.Height : null,
        Mark = held.Frozen.Mark,
        Wish = held.Frozen.Wish,
        Shelf = held.Place?.ShelfNo,
        XMm = held.Place?.X,
        YMm = held.Place?.Y,
    };
}

/// <summary>A booking's fee as one reader is shown it.</summary>
/// <param name="Minor">Minor units; null where it is withheld.</param>
/// <param name="Withheld">Why it is withheld, and whom to ask; null where it is not.</param>
public readonly record struct FeeShown(long? Minor, string? Withheld);

/// <summary>A booking.</summary>
public sealed record BookingAnswer
{
    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>The firing.</summary>
    public required Guid FiringId { get; init; }

    /// <summary>Whose it is.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>Where it stands.</summary>
    public required BookingState State { get; init; }

    /// <summary>What it waits for.</summary>
    public required WaitsFor? WaitsFor { get; init; }

    /// <summary>The version of the plan that holds it.</summary>
    public required long LoadVersion { get; init; }

    /// <summary>The rules accepted.</summary>
    public required IReadOnlyList<string> Accepts { get; init; }

    /// <summary>Its copies.</summary>
    public required IReadOnlyList<BookedCopyAnswer> Copies { get; init; }

    /// <summary>What the rules say of it, when it was booked.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<FindingContract>? Findings { get; init; }

    /// <summary>A technician's yes to it; left out where nobody has said one.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public ApprovalContract? Approval { get; init; }

    /// <summary>When a place came free for it in its fixed firing, which a technician's yes gives it; left out where none is offered.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Instant? OfferedAt { get; init; }

    /// <summary>Why its firing was done without it; left out where it was not let go.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public LetGoContract? LetGo { get; init; }

    /// <summary>The booking in which the copies wait that did not fit, said when it is made; left out where all fitted.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Guid? RestBookingId { get; init; }

    /// <summary>
    /// What withdrawing late, or its firing being called off, cost by the studio's rules, minor units; left out where nothing was charged, and where
    /// <see cref="Withheld"/> says why.
    /// </summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public long? FeeMinor { get; init; }

    /// <summary>Why its fee is withheld, and whom to ask; left out where nothing is.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Withheld { get; init; }

    /// <summary>Until when it keeps room for pieces not named yet; left out for a booking of pieces.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Instant? ReservedUntil { get; init; }

    /// <summary>The reserved room that its pieces took over; left out where they were booked without.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Guid? ReserveId { get; init; }

    /// <summary>When it was made.</summary>
    public required Instant CreatedAt { get; init; }

    /// <summary>The answer for a booking with its copies.</summary>
    public static BookingAnswer Of(
        Booking booking, IEnumerable<HeldCopy> copies, long loadVersion, IReadOnlyList<Finding>? findings, FeeShown fee = default,
            string? approver = null) => new()
            {
                Id = booking.Id.Value,
                FiringId = booking.FiringId.Value,
                MemberId = booking.MemberId.Value,
                State = booking.State,
                WaitsFor = booking.WaitsFor,
                LoadVersion = loadVersion,
                Accepts = booking.Accepts,
                Copies = [.. copies.OrderBy(c => c.PieceId.Value).ThenBy(c => c.Copy).Select(BookedCopyAnswer.Of)],
                Findings = findings?.Select(FindingContract.Of).ToList(),
                Approval = ApprovalContract.Of(booking, approver),
                OfferedAt = booking.OfferedAt,
                LetGo = LetGoContract.Of(booking),
                FeeMinor = fee.Minor,
                Withheld = fee.Withheld,
                ReservedUntil = booking.ReservedUntil,
                ReserveId = booking.ReserveId?.Value,
                CreatedAt = booking.CreatedAt,
            };
}
