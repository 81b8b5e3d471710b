using FluentValidation;
using KilnShare.Api.Bookings;
using KilnShare.Api.Common;
using KilnShare.Api.Firings;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Api.Outcomes;

/// <summary>What was really in a firing and how it really came out. What is left out stays as it was said.</summary>
public sealed record FiringCorrectionBody
{
    /// <summary>All that was in; absent: as it was said. What is not on it was not in.</summary>
    public IReadOnlyList<BookedPieceContract>? Placed { get; init; }

    /// <summary>How it came out; absent: as it was said.</summary>
    /// <example>short</example>
    public FiringOutcome? Outcome { get; init; }

    /// <summary>How hot it became, where you know better than its witness cones and its log.</summary>
    public HeatReachedBody? Reached { get; init; }

    /// <summary>Why it is put right, in words.</summary>
    /// <example>the witness cones on the bottom shelf were still standing</example>
    public required string Reason { get; init; }
}

/// <summary>What a correction made of one copy.</summary>
public sealed record CorrectedCopyAnswer
{
    /// <summary>The piece.</summary>
    public required Guid PieceId { get; init; }

    /// <summary>Which copy.</summary>
    public required int Copy { get; init; }

    /// <summary>It was said to have been in.</summary>
    public required bool WasIn { get; init; }

    /// <summary>It was in.</summary>
    public required bool IsIn { get; init; }

    /// <summary>The stage it was said to be at.</summary>
    public required Stage StageBefore { get; init; }

    /// <summary>The stage it is at.</summary>
    public required Stage Stage { get; init; }
}

/// <summary>A correction of a firing.</summary>
public sealed record FiringCorrectionAnswer
{
    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>The firing.</summary>
    public required Guid FiringId { get; init; }

    /// <summary>How the firing was said to have come out.</summary>
    public required FiringOutcome OutcomeBefore { get; init; }

    /// <summary>How it came out.</summary>
    public required FiringOutcome Outcome { get; init; }

    /// <summary>The copies that it changed.</summary>
    public required IReadOnlyList<CorrectedCopyAnswer> Copies { get; init; }

    /// <summary>The settlement that came of it: the old entries reversed, the new ones written. Null where the firing was not settled.</summary>
    public required int? SettlementRevision { get; init; }

    /// <summary>Why.</summary>
    public required string Reason { get; init; }

    /// <summary>Who put it right.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>When.</summary>
    public required Instant CorrectedAt { get; init; }

    /// <summary>The answer for a correction.</summary>
    public static FiringCorrectionAnswer Of(FiringCorrection correction) => new()
    {
        Id = correction.Id.Value,
        FiringId = correction.FiringId.Value,
        OutcomeBefore = correction.OutcomeBefore,
        Outcome = correction.Outcome,
        Copies = [.. correction.Copies.Select(c => new CorrectedCopyAnswer
        {
            PieceId = c.PieceId.Value,
            Copy = c.Copy,
            WasIn = c.WasIn,
            IsIn = c.IsIn,
            StageBefore = c.Was,
            Stage = c.Is,
        })],
        SettlementRevision = correction.SettlementRevision,
        Reason = correction.Reason,
        MemberId = correction.MemberId.Value,
        CorrectedAt = correction.At,
    };
}

internal sealed class FiringCorrectionValidator : AbstractValidator<FiringCorrectionBody>
{
    private const int Most = 2000;

    public FiringCorrectionValidator()
    {
        RuleFor(c => c.Placed!).AtMost(Most).When(c => c.Placed is not null);
        RuleFor(c => c.Reached!).SetValidator(new HeatReachedValidator()).When(c => c.Reached is not null);
        RuleFor(c => c.Reason).Line(StudioLimits.MaxNote);
    }
}
