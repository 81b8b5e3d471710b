using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Costs;

/// <summary>How much of a firing's shared cost members bear, by how it ended; each studio states its own.</summary>
/// <param name="ShortPercent">It did not reach its cone: members bear so much, the studio the rest.</param>
/// <param name="OverPercent">It went past its cone.</param>
/// <param name="AbortedPercent">It was broken off.</param>
public sealed record ChargePolicy(int ShortPercent, int OverPercent, int AbortedPercent)
{
    /// <summary>The name of the studio's part.</summary>
    public const string NotChargedPart = "not-charged";

    /// <summary>A firing that failed is shared like any other: the energy was used. Common practice, no source.</summary>
    public static ChargePolicy Shared { get; } = new(100, 100, 100);

    /// <summary>What failed is the studio's; what a member alone used up (direct parts) is still theirs.</summary>
    public static ChargePolicy StudioBears { get; } = new(0, 0, 0);

    /// <summary>
    /// The cost split with members bearing so many percent of every shared part (rounded once a part); direct parts stay whole, the minimum
    /// is not asked, and the studio bears the rest, so that the shares add up to the whole cost.
    /// </summary>
    public static Result<CostSplitAnswer> Split(CostSplitRequest request, int membersPercent)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(membersPercent, 0);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(membersPercent, 100);
        if (membersPercent == 100) return CostSplit.Split(request);
        CostPart Borne(CostPart part) => part with { AmountMinor = MinorUnits.Rounded(part.AmountMinor * membersPercent / 100m) };
        var parts = request.Parts.Select(p => p.Basis == CostBasis.Direct ? p : Borne(p)).ToArray();
        return CostSplit.Split(request with { Parts = parts, MinimumMinor = 0 })
            .Then<CostSplitAnswer>(answer => WithRest(answer, request.Parts.Sum(p => p.AmountMinor)));
    }

    private static CostSplitAnswer WithRest(CostSplitAnswer answer, long costMinor)
    {
        var rest = costMinor - answer.TotalMinor;
        var studio = answer.Shares.FirstOrDefault(s => s.Studio) ?? Share.OfStudio;
        return answer with { Shares = [.. answer.Shares.Where(s => !s.Studio), studio.With(NotChargedPart, rest)], TotalMinor = costMinor };
    }
}

/// <summary>What a member owes who withdraws: the later, the more of what was quoted.</summary>
/// <param name="Steps">From so long before the firing on, so many percent; before the earliest step, nothing.</param>
public sealed record WithdrawalPolicy(IReadOnlyList<WithdrawalStep> Steps)
{
    /// <summary>The fee for withdrawing so long before the firing (below 0: after its start), minor units rounded once.</summary>
    public long FeeMinor(long quotedMinor, Duration before)
    {
        var percent = Steps.Where(s => before <= s.Before).Select(s => s.Percent).DefaultIfEmpty(0).Max();
        return MinorUnits.Rounded(quotedMinor * percent / 100m);
    }
}

/// <summary>One step of a withdrawal policy.</summary>
/// <param name="Before">From so long before the firing on.</param>
/// <param name="Percent">Of what was quoted, 0 to 100.</param>
public sealed record WithdrawalStep(Duration Before, int Percent);
