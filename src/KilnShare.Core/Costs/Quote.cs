using KilnShare.Core.Common;

namespace KilnShare.Core.Costs;

/// <summary>What a firing will probably cost a member, as things stand booked now.</summary>
/// <param name="Member">The member.</param>
/// <param name="LowMinor">If the kiln takes the least energy the forecast allows.</param>
/// <param name="LikelyMinor">By the forecast.</param>
/// <param name="HighMinor">If it takes the most.</param>
public sealed record Quote(string Member, long LowMinor, long LikelyMinor, long HighMinor);

/// <summary>Quotes before a firing.</summary>
public static class Quotes
{
    /// <summary>
    /// The split three times over, with the parts that follow the energy lowered, as forecast, and raised by the forecast's half-width.
    /// </summary>
    /// <param name="request">The split as forecast.</param>
    /// <param name="energyParts">Names of the parts that grow with the energy; their kWh, where given, grow too.</param>
    /// <param name="halfWidthPercent">Of the forecast, 0 to 100.</param>
    public static Result<IReadOnlyList<Quote>> Of(CostSplitRequest request, IReadOnlySet<string> energyParts, decimal halfWidthPercent)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(halfWidthPercent);
        return CostSplit.Split(request).Then(likely =>
            CostSplit.Split(Scaled(request, energyParts, 1 - halfWidthPercent / 100)).Then(low =>
                CostSplit.Split(Scaled(request, energyParts, 1 + halfWidthPercent / 100)).Then<IReadOnlyList<Quote>>(high =>
                    request.Members.Select((m, i) => Between(m.Id, low.Shares[i], likely.Shares[i], high.Shares[i])).ToArray())));
    }

    // A member's share may fall by a unit as the total grows (largest remainders are not monotone in the total): the interval holds all three.
    private static Quote Between(string member, Share low, Share likely, Share high)
    {
        long[] ends = [low.AmountMinor, likely.AmountMinor, high.AmountMinor];
        return new Quote(member, ends.Min(), likely.AmountMinor, ends.Max());
    }

    private static CostSplitRequest Scaled(CostSplitRequest request, IReadOnlySet<string> energyParts, decimal factor) => request with
    {
        Parts = request.Parts.Select(p => energyParts.Contains(p.Name)
            ? p with { AmountMinor = MinorUnits.Rounded(p.AmountMinor * factor), EnergyKwh = Scaled(p.EnergyKwh, factor) }
            : p).ToArray(),
    };

    private static decimal? Scaled(decimal? kwh, decimal factor) =>
        kwh is { } known ? decimal.Round(known * factor, CostLimits.WeightDecimals) : null;
}
