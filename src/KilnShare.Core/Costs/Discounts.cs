using KilnShare.Core.Common;

namespace KilnShare.Core.Costs;

/// <summary>What members are let off of their shares.</summary>
public static class Discounts
{
    /// <summary>The name of the part: below 0 for the member, above 0 for the studio that bears it.</summary>
    public const string Part = "discount";

    /// <summary>The same cost with members' discounts taken off and borne by the studio, each rounded once; shares in credit stay as they are.</summary>
    public static CostSplitAnswer Apply(CostSplitAnswer answer, IReadOnlyList<MemberDiscount> discounts)
    {
        var taken = 0L;
        var shares = new List<Share>();
        foreach (var share in answer.Shares.Where(s => !s.Studio))
        {
            var percent = discounts.FirstOrDefault(d => string.Equals(d.Member, share.Id, StringComparison.Ordinal))?.Percent ?? 0;
            var off = share.AmountMinor > 0 ? MinorUnits.Rounded(share.AmountMinor * percent / 100m) : 0;
            taken += off;
            shares.Add(off == 0 ? share : share.With(Part, -off));
        }

        if (taken == 0) return answer;
        var studio = answer.Shares.FirstOrDefault(s => s.Studio) ?? Share.OfStudio;
        return answer with { Shares = [.. shares, studio.With(Part, taken)] };
    }
}
