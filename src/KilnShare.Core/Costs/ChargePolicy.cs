using KilnShare.Core.Common;

namespace KilnShare.Core.Costs;

/// <summary>How much of a firing's shared cost members bear, by how it ended; each studio states its own.</summary>
/// <param name="ShortPercent">It did not reach its cone: members bear so much, the studio the rest.</param>
/// <param name="OverPercent">It went past its cone.</param>
/// <param name="AbortedPercent">It was broken off.</param>
public sealed record ChargePolicy(int ShortPercent, int OverPercent, int AbortedPercent)
{
    /// <summary>It was called off before it was lit: members pay so many percent of what each booking was quoted. Usually none.</summary>
    public int CancelledPercent { get; init; }

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
