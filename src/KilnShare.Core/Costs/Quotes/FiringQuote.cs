using KilnShare.Core.Common;

namespace KilnShare.Core.Costs.Quotes;

/// <summary>An amount as assumed, between its ends, minor units.</summary>
/// <param name="LowMinor">If the kiln becomes full and takes the least energy that is likely.</param>
/// <param name="LikelyMinor">As full as it usually is, with the energy assumed.</param>
/// <param name="HighMinor">If nobody joins, and it takes the most.</param>
public sealed record MinorRange(long LowMinor, long LikelyMinor, long HighMinor)
{
    /// <summary>
    /// The likely one first; a share may fall by a unit as the total grows (largest remainders are not monotone), so the ends hold all three.
    /// </summary>
    internal static MinorRange Of(IReadOnlyList<long> likelyFirst) => new(likelyFirst.Min(), likelyFirst[0], likelyFirst.Max());
}

/// <summary>A firing as full as it may become, and the energy it takes then.</summary>
/// <param name="Basis">What its cost is divided by.</param>
/// <param name="Energy">What energy is assumed.</param>
public sealed record QuoteCase(FiringCostBasis Basis, EnergyAssumption Energy);

/// <summary>What a firing will probably cost a member, between a full kiln and what is booked now, by the studio's rules.</summary>
/// <param name="Member">The member.</param>
/// <param name="Basis">What it is divided by, the load as it is likely to become.</param>
/// <param name="Energy">What energy is assumed.</param>
/// <param name="Likely">The cost as assumed.</param>
/// <param name="Booked">The cost if nobody joins.</param>
/// <param name="Full">The cost if the kiln becomes full.</param>
/// <param name="Charged">What the member pays: by the meter, or by the price list.</param>
/// <param name="Metered">What the member's share is by the meter.</param>
/// <param name="Difference">What the studio bears beyond list prices, below 0 what it keeps; all 0 without a price list.</param>
public sealed record FiringQuote(
    string Member, FiringCostBasis Basis, EnergyAssumption Energy, FiringCost Likely, FiringCost Booked, FiringCost Full, MinorRange Charged,
        MinorRange Metered, MinorRange Difference)
{
    /// <summary>The quote where the load stays as it is.</summary>
    public static Result<FiringQuote> Of(FiringCostBasis basis, Currency currency, EnergyAssumption energy, string member)
    {
        var only = new QuoteCase(basis, energy);
        return Of(only, only, only, currency, member);
    }

    /// <summary>The cost of each case three times over: with the energy assumed, lowered, and raised by its half-width.</summary>
    /// <param name="likely">As full as it is likely to become; the member is among the uses of each.</param>
    /// <param name="booked">If nobody joins.</param>
    /// <param name="full">If it becomes full.</param>
    /// <param name="currency">Of the studio.</param>
    /// <param name="member">Whose share is asked.</param>
    public static Result<FiringQuote> Of(QuoteCase likely, QuoteCase booked, QuoteCase full, Currency currency, string member)
    {
        var costs = new List<FiringCost>();
        var middles = new List<FiringCost>();
        foreach (var (basis, energy) in new[] { likely, booked, full })
        {
            foreach (var percent in new[] { 0m, -energy.HalfWidthPercent, energy.HalfWidthPercent })
            {
                if (!FiringCost.Of(basis, currency, decimal.Round(energy.Kwh * (100 + percent) / 100, 3)).TryGet(out var cost, out var refusal)) return refusal;
                costs.Add(cost);
                if (costs.Count % 3 == 1) middles.Add(cost);
            }
        }

        return new FiringQuote(
            member, likely.Basis, likely.Energy, middles[0], middles[1], middles[2],
            Range(c => ShareOf(c.Charged, member)), Range(c => ShareOf(c.Metered, member)), Range(DifferenceOf));

        MinorRange Range(Func<FiringCost, long> amount) => MinorRange.Of(costs.ConvertAll(c => amount(c)));
    }

    /// <summary>What of the likely amount falls to ware that takes so much room, of all the member's; rounded once.</summary>
    public long LikelyFor(decimal volumeCm3)
    {
        var all = Basis.Uses.First(u => string.Equals(u.Id, Member, StringComparison.Ordinal)).VolumeCm3 ?? 0;
        return all == 0 ? Charged.LikelyMinor : MinorUnits.Rounded(Charged.LikelyMinor * Math.Min(1, volumeCm3 / all));
    }

    /// <summary>What a member bears in a split.</summary>
    public static long ShareOf(CostSplitAnswer answer, string member) =>
        answer.Shares.Where(s => string.Equals(s.Id, member, StringComparison.Ordinal)).Sum(s => s.AmountMinor);

    private static long DifferenceOf(FiringCost cost) => cost.Charged.Shares.Where(s => s.Studio)
        .SelectMany(s => s.Parts).Where(p => string.Equals(p.Name, PriceList.DifferencePart, StringComparison.Ordinal)).Sum(p => p.AmountMinor);
}
