using System.Linq.Expressions;
using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Loading;
using KilnShare.Core.Studios;

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
    /// <summary>
    /// A hotter or a cooler place than most of the kiln; absent: it does not matter. Counts where the kiln's witness cones have shown that its levels
    /// differ, and is told as advice where it cannot be met.
    /// </summary>
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

    /// <summary>True: where not all copies fit, those that do are confirmed, and the rest waits in a booking of its own.</summary>
    public bool TakeWhatFits { get; init; }

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

/// <summary>Rules that a member accepts while a booking waits.</summary>
public sealed record AcceptsBody
{
    /// <summary>The rules whose word the member has read and accepts, besides those accepted before.</summary>
    /// <example>["glaze-body-expansion"]</example>
    public required IReadOnlyList<string> Accepts { get; init; }
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

internal sealed class AcceptsValidator : AbstractValidator<AcceptsBody>
{
    private static readonly HashSet<string> Rules = [.. CoFiringRules.All.Select(r => r.Name)];

    public AcceptsValidator()
    {
        RuleFor(b => b.Accepts).NotEmpty().WithErrorCode("bookings.no-accepts").WithMessage("Takes one rule at the least.");
        this.NamesRules(b => b.Accepts, b => b.Accepts);
        RuleForEach(b => b.Accepts).Must(Rules.Contains).WithErrorCode("bookings.no-such-rule")
            .WithMessage("There is no such rule. GET /v1/co-firing-rules lists them.");
    }
}

internal sealed class BookingChangeValidator : AbstractValidator<BookingChangeBody>
{
    public BookingChangeValidator()
    {
        RuleFor(b => b.Pieces).Must(p => p is null || p.Count > 0).WithErrorCode("bookings.no-pieces")
            .WithMessage("Takes one piece at the least; to hold none, withdraw the booking.");
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
        this AbstractValidator<T> body, Expression<Func<T, IReadOnlyList<WishedPieceContract>?>> pieces, Expression<Func<T,
            IEnumerable<WishedPieceContract>>> each)
    {
        body.RuleFor(pieces).AtMost(MostPieces);
        body.RuleFor(pieces).Must(p => p is null || p.Select(x => x.PieceId).Distinct().Count() == p.Count)
            .WithErrorCode("bookings.same-piece").WithMessage("A piece stands twice in this booking. Name it once, with all its copies.");
        body.RuleForEach(each).ChildRules(piece => piece.RuleFor(p => p.Copies)
            .Must(c => c is null || (c.Count > 0 && c.Distinct().Count() == c.Count && c.All(i => i >= 0)))
            .WithMessage("Takes copies from 0, each once; leave it out for all of them."));
    }

    public static void NamesRules<T>(
        this AbstractValidator<T> body, Expression<Func<T, IReadOnlyList<string>?>> rules, Expression<Func<T, IEnumerable<string>>> each)
    {
        body.RuleFor(rules).AtMost(MostAccepts);
        body.RuleForEach(each).Line(LongestRule);
    }
}

internal sealed class ApprovalValidator : AbstractValidator<ApprovalBody>
{
    public ApprovalValidator() => RuleFor(a => a.Reason).Line(StudioLimits.MaxNote);
}
