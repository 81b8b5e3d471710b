using FluentValidation;
using KilnShare.Api.CoFiring;
using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Studios;

namespace KilnShare.Api.Bookings;

/// <summary>Copies that stayed behind.</summary>
public sealed record LeftBehindContract
{
    /// <summary>The piece.</summary>
    public required Guid PieceId { get; init; }

    /// <summary>Which copies; absent: all of them.</summary>
    public IReadOnlyList<int>? Copies { get; init; }

    /// <summary>Why.</summary>
    /// <example>still damp at the foot</example>
    public required string Reason { get; init; }
}

/// <summary>
/// What really went in. Every booked copy stands in one of the two lists, or went in as planned; what was not booked may be added to placed.
/// </summary>
public sealed record LoadBody
{
    /// <summary>True: all that is booked went in as planned, except what stands in leftBehind. Absent: every booked copy is named.</summary>
    public bool AsPlanned { get; init; }

    /// <summary>What went in; with asPlanned only what was not booked needs to be named.</summary>
    public IReadOnlyList<BookedPieceContract> Placed { get; init; } = [];

    /// <summary>What stayed behind, with the reason.</summary>
    public IReadOnlyList<LeftBehindContract> LeftBehind { get; init; } = [];
}

/// <summary>A line of the real load.</summary>
public sealed record LoadItemAnswer
{
    /// <summary>The piece.</summary>
    public required Guid PieceId { get; init; }

    /// <summary>Which copy.</summary>
    public required int Copy { get; init; }

    /// <summary>What it is.</summary>
    public required string Name { get; init; }

    /// <summary>The sign under its foot.</summary>
    public required string? Mark { get; init; }

    /// <summary>Whose it is.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>What became of it.</summary>
    public required LoadFate Fate { get; init; }

    /// <summary>Why it stayed behind.</summary>
    public required string? Reason { get; init; }

    /// <summary>The shelf it stood on, by the plan.</summary>
    public required int? Shelf { get; init; }

    /// <summary>The firing whose line it heads because it stayed behind; null where it went in, was not booked, or no firing suits yet.</summary>
    public Guid? NextFiringId { get; init; }

    /// <summary>The answer for a line.</summary>
    public static LoadItemAnswer Of(LoadItem item) => new()
    {
        PieceId = item.PieceId.Value,
        Copy = item.Copy,
        Name = item.Frozen.Name,
        Mark = item.Frozen.Mark,
        MemberId = item.Frozen.MemberId.Value,
        Fate = item.Fate,
        Reason = item.Reason,
        Shelf = item.ShelfNo,
    };
}

/// <summary>The real load.</summary>
public sealed record LoadAnswer
{
    /// <summary>Its lines.</summary>
    public required IReadOnlyList<LoadItemAnswer> Items { get; init; }

    /// <summary>What the rules say of what really went in.</summary>
    public required IReadOnlyList<FindingContract> Findings { get; init; }
}

internal sealed class LoadValidator : AbstractValidator<LoadBody>
{
    private const int Most = 2000;

    public LoadValidator()
    {
        RuleFor(l => l.Placed).AtMost(Most);
        RuleFor(l => l.LeftBehind).AtMost(Most);
        RuleForEach(l => l.LeftBehind).ChildRules(left => left.RuleFor(x => x.Reason).Line(StudioLimits.MaxNote));
    }
}
