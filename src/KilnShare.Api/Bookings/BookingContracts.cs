using System.Linq.Expressions;
using System.Text.Json.Serialization;
using FluentValidation;
using KilnShare.Api.CoFiring;
using KilnShare.Api.Common;
using KilnShare.Api.Pieces;
using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Copies of one piece.</summary>
public record BookedPieceContract
{
    /// <summary>The piece.</summary>
    public required Guid PieceId { get; init; }

    /// <summary>Which copies, from 0; absent: all of them.</summary>
    public IReadOnlyList<int>? Copies { get; init; }
}

/// <summary>Copies of one piece with where in the kiln they would rather stand.</summary>
public sealed record WishedPieceContract : BookedPieceContract
{
    /// <summary>A hotter or a cooler place than most of the kiln; absent: it does not matter. Counts where the kiln's witness cones have shown that its levels differ, and is told as advice where it cannot be met.</summary>
    public Heat? Wish { get; init; }
}

/// <summary>Room wanted in a firing.</summary>
public sealed record BookingBody
{
    /// <summary>The ware, all of one member.</summary>
    public required IReadOnlyList<WishedPieceContract> Pieces { get; init; }

    /// <summary>The rules whose word the member has read and accepts.</summary>
    public IReadOnlyList<string> Accepts { get; init; } = [];

    /// <summary>Room reserved for these pieces: each takes over the room that holds it, and is found another place where none does.</summary>
    public Guid? ReserveId { get; init; }

    /// <summary>True: wait when there is no room now.</summary>
    public bool MayWait { get; init; }

    /// <summary>True: a copy that is booked for its next firing already is booked for the one after, which must be lit when the first is unloaded.</summary>
    public bool Ahead { get; init; }
}

/// <summary>What a booking is to hold from now on.</summary>
public sealed record BookingChangeBody
{
    /// <summary>The ware; absent: the same copies, taken down as they are now.</summary>
    public IReadOnlyList<WishedPieceContract>? Pieces { get; init; }

    /// <summary>The rules whose word the member has read and accepts; absent: as before.</summary>
    public IReadOnlyList<string>? Accepts { get; init; }

    /// <summary>Why what is not known may go in all the same; counts from a technician only.</summary>
    public string? Reason { get; init; }
}

/// <summary>A technician's yes to what is not known.</summary>
public sealed record ApprovalBody
{
    /// <summary>Why it may go in all the same.</summary>
    /// <example>I fired this body beside this glaze last month.</example>
    public required string Reason { get; init; }
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

    /// <summary>What withdrawing late, or its firing being called off, cost by the studio's rules, minor units; left out where nothing was charged, and where it is another member's and the studio does not show everybody's amounts.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public long? FeeMinor { get; init; }

    /// <summary>Until when it keeps room for pieces not named yet; left out for a booking of pieces.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Instant? ReservedUntil { get; init; }

    /// <summary>The reserved room that its pieces took over; left out where they were booked without.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Guid? ReserveId { get; init; }

    /// <summary>When it was made.</summary>
    public required Instant CreatedAt { get; init; }

    /// <summary>The answer for a booking with its copies.</summary>
    public static BookingAnswer Of(Booking booking, IEnumerable<HeldCopy> copies, long loadVersion, IReadOnlyList<Finding>? findings, long? feeMinor = null) => new()
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
        FeeMinor = feeMinor,
        ReservedUntil = booking.ReservedUntil,
        ReserveId = booking.ReserveId?.Value,
        CreatedAt = booking.CreatedAt,
    };
}

internal sealed class BookingValidator : AbstractValidator<BookingBody>
{
    public BookingValidator()
    {
        RuleFor(b => b.Pieces).NotEmpty().WithErrorCode("bookings.no-pieces").WithMessage("Takes one piece at the least.");
        this.NamesWare(b => b.Pieces, b => b.Pieces);
        this.NamesRules(b => b.Accepts, b => b.Accepts);
    }
}

internal sealed class BookingChangeValidator : AbstractValidator<BookingChangeBody>
{
    public BookingChangeValidator()
    {
        RuleFor(b => b.Pieces).Must(p => p is null || p.Count > 0).WithErrorCode("bookings.no-pieces").WithMessage("Takes one piece at the least; to hold none, withdraw the booking.");
        this.NamesWare(b => b.Pieces, b => b.Pieces!);
        this.NamesRules(b => b.Accepts, b => b.Accepts!);
        RuleFor(b => b.Reason).OptionalLine(StudioLimits.MaxNote);
    }
}

internal static class BookingRules
{
    private const int MostPieces = 200;
    private const int MostAccepts = 60;
    private const int LongestRule = 60;

    public static void NamesWare<T>(
        this AbstractValidator<T> body, Expression<Func<T, IReadOnlyList<WishedPieceContract>?>> pieces, Expression<Func<T, IEnumerable<WishedPieceContract>>> each)
    {
        body.RuleFor(pieces).AtMost(MostPieces);
        body.RuleFor(pieces).Must(p => p is null || p.Select(x => x.PieceId).Distinct().Count() == p.Count)
            .WithErrorCode("bookings.same-piece").WithMessage("A piece stands twice in this booking. Name it once, with all its copies.");
        body.RuleForEach(each).ChildRules(piece => piece.RuleFor(p => p.Copies)
            .Must(c => c is null || (c.Count > 0 && c.Distinct().Count() == c.Count && c.All(i => i >= 0)))
            .WithMessage("Takes copies from 0, each once; leave it out for all of them."));
    }

    public static void NamesRules<T>(this AbstractValidator<T> body, Expression<Func<T, IReadOnlyList<string>?>> rules, Expression<Func<T, IEnumerable<string>>> each)
    {
        body.RuleFor(rules).AtMost(MostAccepts);
        body.RuleForEach(each).Line(LongestRule);
    }
}

internal sealed class ApprovalValidator : AbstractValidator<ApprovalBody>
{
    public ApprovalValidator() => RuleFor(a => a.Reason).Line(StudioLimits.MaxNote);
}
