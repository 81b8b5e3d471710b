using KilnShare.Core.Common;

namespace KilnShare.Core.Costs;

/// <summary>What members are let off of their shares; the studio bears it.</summary>
public static class Discounts
{
    /// <summary>The name of a member's discount: below 0 for the member, above 0 for the studio.</summary>
    public const string Part = "discount";

    /// <summary>The name of what test ware is let off.</summary>
    public const string TestWarePart = "test-ware";

    /// <summary>
    /// The same cost with what members are let off, each part of it rounded once. It goes by the shares of the shared cost alone, so that no charge for what
    /// one member used up moves anybody's discount, and takes no such share below the least charge.
    /// </summary>
    /// <param name="charged">What is charged.</param>
    /// <param name="shared">The same without what single members used up or are credited.</param>
    /// <param name="rules">The studio's.</param>
    /// <param name="uses">Who fired what.</param>
    /// <param name="leastMinor">The least charge; 0 where discounts may go below it.</param>
    public static CostSplitAnswer Apply(CostSplitAnswer charged, CostSplitAnswer shared, CostRules rules, IReadOnlyList<MemberUse> uses, long leastMinor)
    {
        var (test, own) = (0L, 0L);
        var shares = new List<Share>();
        foreach (var share in charged.Shares.Where(s => !s.Studio))
        {
            var off = Off.Of(share.Id, shared, rules, uses, leastMinor);
            (test, own) = (test + off.TestMinor, own + off.OwnMinor);
            shares.Add(With(With(share, TestWarePart, -off.TestMinor), Part, -off.OwnMinor));
        }

        if (test == 0 && own == 0) return charged;
        var studio = charged.Shares.FirstOrDefault(s => s.Studio) ?? Share.OfStudio;
        return charged with { Shares = [.. shares, With(With(studio, TestWarePart, test), Part, own)] };
    }

    private static Share With(Share share, string part, long minor) => minor == 0 ? share : share.With(part, minor);

    /// <summary>What one member is let off.</summary>
    private readonly record struct Off(long TestMinor, long OwnMinor)
    {
        public static Off Of(string? member, CostSplitAnswer shared, CostRules rules, IReadOnlyList<MemberUse> uses, long leastMinor)
        {
            var bears = shared.Shares.Where(s => !s.Studio && string.Equals(s.Id, member, StringComparison.Ordinal)).Sum(s => s.AmountMinor);
            var most = Math.Max(0, bears - leastMinor);
            var use = uses.FirstOrDefault(u => string.Equals(u.Id, member, StringComparison.Ordinal));
            var part = use is { TestVolumeCm3: { } tests, VolumeCm3: > 0 and var all } ? tests / all : 0;
            var test = Math.Min(most, MinorUnits.Rounded(Math.Max(0, bears) * part * (CostRules.MostPercent - rules.TestWarePercent) / 100));
            var percent = rules.Discounts.FirstOrDefault(d => string.Equals(d.Member, member, StringComparison.Ordinal))?.Percent ?? 0;
            return new Off(test, Math.Min(most - test, MinorUnits.Rounded(Math.Max(0, bears - test) * percent / 100m)));
        }
    }
}
