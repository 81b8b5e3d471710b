using KilnShare.Core.Common;
using KilnShare.Core.Firings;

namespace KilnShare.Core.Costs;

/// <summary>Fixed prices by volume instead of the metered cost: bisque and glaze each at their own rate, known before the firing.</summary>
/// <param name="Currency">Of every price.</param>
/// <param name="PerLitre">Major units for a litre (1000 cm³) of spacing envelope, by kind of firing.</param>
/// <param name="LeastMinor">The least charge for one member in one firing.</param>
public sealed record PriceList(Currency Currency, IReadOnlyDictionary<FiringKind, decimal> PerLitre, long LeastMinor = 0)
{
    /// <summary>The name of the part a member pays by the list.</summary>
    public const string ListPart = "firing";

    /// <summary>The name of the studio's part: what the firing cost above (or, below 0, under) the sum of list prices.</summary>
    public const string DifferencePart = "difference";

    /// <summary>What a member pays for so much volume, minor units rounded once; null when the list has no price for that kind.</summary>
    public long? ChargeMinor(FiringKind kind, decimal volumeCm3) =>
        PerLitre.TryGetValue(kind, out var perLitre)
            ? Math.Max(volumeCm3 > 0 ? LeastMinor : 0, MinorUnits.Of(volumeCm3 / 1000 * perLitre, Currency))
            : null;

    /// <summary>
    /// The shares by list price; the studio bears the difference to what the firing really cost, so that the shares still add up to it.
    /// </summary>
    public Result<CostSplitAnswer> Split(FiringKind kind, IReadOnlyList<MemberUse> members, long costMinor)
    {
        var shares = new List<Share>();
        for (var i = 0; i < members.Count; i++)
        {
            if (members[i].VolumeCm3 is not { } volume)
                return Refusal.Rule(
                    "costs.weight-missing", $"The price list goes by volume: give volumeCm3 of {members[i].Id}.", $"/members/{i}/volumeCm3");
            if (ChargeMinor(kind, volume) is not { } charge)
                return Refusal.Rule(
                    "costs.no-list-price", $"The price list has no price for a firing of kind {kind}; add one or split by the meter.");
            shares.Add(new Share(members[i].Id, false, charge, [new SharePart(ListPart, charge)]));
        }
        var difference = costMinor - shares.Sum(s => s.AmountMinor);
        shares.Add(new Share(null, true, difference, [new SharePart(DifferencePart, difference)]));
        return new CostSplitAnswer(shares, costMinor, []);
    }
}
