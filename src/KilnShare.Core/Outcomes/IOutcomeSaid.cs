using NodaTime;

namespace KilnShare.Core.Outcomes;

/// <summary>What is said of how ware came out, now or before it was changed.</summary>
public interface IOutcomeSaid
{
    /// <summary>In one word.</summary>
    OutcomeGrade Grade { get; }

    /// <summary>What was seen.</summary>
    IReadOnlyList<Defect> Defects { get; }

    /// <summary>How much of a defect, and where; null where that was not said of any.</summary>
    IReadOnlyList<DefectDetail>? Details { get; }

    /// <summary>What it is like; null where that was not said.</summary>
    OutcomeLook? Look { get; }

    /// <summary>Whether its maker would do it again the same way; null where that was not said.</summary>
    bool? WouldUseAgain { get; }

    /// <summary>Anything else worth knowing next time.</summary>
    string? Note { get; }

    /// <summary>When the ware was looked at; null: when that was written down.</summary>
    Instant? JudgedAt { get; }
}
