using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Outcomes;

/// <summary>What an outcome said before it was changed. The database writes it with the change; nothing takes it away.</summary>
/// <param name="StudioId">The studio.</param>
/// <param name="OutcomeId">The outcome.</param>
/// <param name="Version">The version that said it, from 1.</param>
/// <param name="Grade">In one word.</param>
/// <param name="Defects">What was seen.</param>
/// <param name="Note">Anything else worth knowing next time.</param>
/// <param name="MemberId">Who had written it down.</param>
/// <param name="SaidAt">When.</param>
public sealed record EarlierOutcome(
    Id<Studio> StudioId, Id<Outcome> OutcomeId, long Version, OutcomeGrade Grade, IReadOnlyList<Defect> Defects, string? Note, Id<Member> MemberId,
        Instant SaidAt)
    : IOutcomeSaid
{
    /// <inheritdoc/>
    public IReadOnlyList<DefectDetail>? Details { get; init; }

    /// <inheritdoc/>
    public OutcomeLook? Look { get; init; }

    /// <inheritdoc/>
    public bool? WouldUseAgain { get; init; }

    /// <inheritdoc/>
    public Instant? JudgedAt { get; init; }
}
