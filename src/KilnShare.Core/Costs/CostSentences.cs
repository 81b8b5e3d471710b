using KilnShare.Core.Common;

namespace KilnShare.Core.Costs;

/// <summary>A studio's cost rules, and what came of them in a firing, in sentences a member can read.</summary>
public static class CostSentences
{
    /// <summary>Each rule that holds, in a sentence.</summary>
    /// <param name="rules">The rules.</param>
    /// <param name="currency">Of their amounts.</param>
    /// <param name="names">Members' names by their opaque ids.</param>
    public static IReadOnlyList<string> Of(CostRules rules, Currency currency, IReadOnlyDictionary<string, string> names)
    {
        List<string> said = ["Energy: " + SplitReasons.Sentence(rules.EnergyBasis), "Wear: " + SplitReasons.Sentence(rules.WearBasis)];
        if (rules.UnusedSpace == UnusedSpace.Studio) said.Add(SplitReasons.StudioSentence);
        if (rules.MinimumMinor > 0) said.Add($"{SplitReasons.MinimumSentence} It is {Money(rules.MinimumMinor)}.");
        said.AddRange(rules.WearRates.Select(r => $"A firing of kind {Word(r.Kind)} is charged {r.Percent} % of the kiln's wear."));
        said.AddRange(rules.Surcharges.Select(
            s => s.EachMinor < 0 ? $"{s.Name}: {Money(-s.EachMinor)} credited for each." : $"{s.Name}: {Money(s.EachMinor)} for each."));
        said.AddRange(rules.Discounts.Select(d => $"{names.GetValueOrDefault(d.Member, "A former member")} pays {d.Percent} % less; the studio bears it."));
        if (rules.Discounts.Count > 0 && (rules.MinimumMinor > 0 || rules.Prices?.LeastMinor > 0))
            said.Add(rules.DiscountsBelowLeast ? "A discount may go below the least charge." : "No discount goes below the least charge.");
        if (rules.TestWarePercent < CostRules.MostPercent)
            said.Add($"Test ware pays {rules.TestWarePercent} % of its share, by room; the studio bears the rest.");
        if (rules.VatPercent > 0)
            said.Add($"On what a firing costs a member, {rules.VatPercent:0.###} % of value added tax are put, rounded once a bill. No bill or statement is "
                + $"a tax invoice.");
        said.Add($"Of a firing that stayed short members bear {rules.Failed.ShortPercent} %, of one that went over {rules.Failed.OverPercent} %, "
            + $"of one broken off {rules.Failed.AbortedPercent} %; the studio bears the rest.");
        said.Add(rules.Failed.CancelledPercent == 0
            ? "A firing called off before it was lit costs nobody anything."
            : $"Of a firing called off before it was lit each pays {rules.Failed.CancelledPercent} % of what the booking was quoted.");
        said.AddRange(rules.Withdrawal.Steps.OrderByDescending(s => s.HoursBefore)
            .Select(s => $"Withdrawing {s.HoursBefore} hours or less before the firing starts costs {FeeOf(s)}."));
        if (rules.Prices is { } prices)
            said.AddRange(
                prices.PerLitre.OrderBy(p => p.Key)
                .Select(p => $"A firing of kind {Word(p.Key)} costs {p.Value:0.######} {currency} a litre of room, {Money(prices.LeastMinor)} at the least; "
                    + $"the studio bears or keeps the difference to the meter."));
        return said;

        string FeeOf(WithdrawalStep step) => step switch
        {
            { FlatMinor: 0 } => $"{step.Percent} % of what was quoted",
            { Percent: 0 } => Money(step.FlatMinor),
            _ => $"{Money(step.FlatMinor)} and {step.Percent} % of what was quoted",
        };

        string Money(long minor) => MoneyText.Of(minor, currency) + " " + currency;
    }

    /// <summary>Why each part of a firing's cost is what it is, by the name of the part.</summary>
    public static IReadOnlyDictionary<string, string> Reasons(FiringCostBasis basis, FiringCost cost) =>
        cost.Request.Parts.Select(p => p.Name).Concat(cost.Charged.Shares.SelectMany(s => s.Parts).Select(p => p.Name)).Distinct(StringComparer.Ordinal)
            .ToDictionary(name => name, name => Reason(name, basis, cost.Request), StringComparer.Ordinal);

    private static string Reason(string part, FiringCostBasis basis, CostSplitRequest request) => part switch
    {
        CostLimits.MinimumPart => SplitReasons.MinimumSentence,
        ChargePolicy.NotChargedPart => $"The firing failed: members bear {basis.Rules.MembersPercent(basis.Outcome)} % of it, the studio the rest.",
        PriceList.ListPart => "By the studio's price list: the room each piece needs with its gap and headroom, times the price of a litre.",
        PriceList.DifferencePart => "What the firing really cost, less what the price list brings in: the studio bears it, or keeps it where it is below 0.",
        Discounts.Part => "The studio lets a member off so much of the share and bears it; what a member used up alone is not in it.",
        Discounts.TestWarePart => $"Test ware pays {basis.Rules.TestWarePercent} % of its share, by room; the studio bears the rest.",
        Vat.Part => $"Value added tax, {basis.Rules.VatPercent:0.###} % of the share, rounded once. {Vat.NoInvoice}",
        _ => SplitReasons.Sentence(request.Parts.First(p => string.Equals(p.Name, part, StringComparison.Ordinal)).Basis),
    };

    private static string Word(Firings.FiringKind kind) => char.ToLowerInvariant(kind.ToString()[0]) + kind.ToString()[1..];
}
