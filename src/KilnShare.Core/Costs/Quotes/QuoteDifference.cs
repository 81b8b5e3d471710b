using KilnShare.Core.Common;

namespace KilnShare.Core.Costs.Quotes;

/// <summary>Why a bill differs from a quote.</summary>
public enum QuoteCause
{
    /// <summary>The kiln took other energy, or it had another price.</summary>
    Energy,

    /// <summary>Others joined or left, or other ware went in.</summary>
    Load,

    /// <summary>How the firing came out, surcharges, or rules that were changed meanwhile.</summary>
    Rules,
}

/// <summary>One cause with what it comes to.</summary>
/// <param name="Cause">The cause.</param>
/// <param name="AmountMinor">Above 0: the bill is higher for it.</param>
/// <param name="Sentence">The figures behind it.</param>
public sealed record QuoteStep(QuoteCause Cause, long AmountMinor, string Sentence);

/// <summary>The way from a quote to a bill, cause by cause.</summary>
public static class QuoteDifference
{
    private const string RulesSentence = "How the firing came out, what was used up in it, or the studio's rules and wear differ from what was quoted.";

    /// <summary>
    /// The share as quoted, then with the energy it really took, then with the load that really went in, then as it is billed: what each step
    /// changes. The steps add up to the whole difference; one that changes nothing is left out.
    /// </summary>
    /// <param name="quoted">The quote as kept.</param>
    /// <param name="member">Whose.</param>
    /// <param name="currency">Of the studio.</param>
    /// <param name="billed">What the bill was divided by.</param>
    /// <param name="cost">The bill.</param>
    public static IReadOnlyList<QuoteStep> Of(QuotedCost quoted, string member, Currency currency, FiringCostBasis billed, FiringCost cost)
    {
        var kwh = cost.EnergyKwh;
        var energy = quoted.Basis with { PerKwh = billed.PerKwh, Billed = billed.Billed };
        var load = energy with { Uses = billed.Uses, TieSeed = billed.TieSeed };
        var was = quoted.Whole.LikelyMinor;
        var byEnergy = ShareOf(energy, member, currency, kwh) ?? was;
        var byLoad = ShareOf(load, member, currency, kwh) ?? byEnergy;
        return
        [
            .. Step(QuoteCause.Energy, byEnergy - was, $"The firing took {kwh:0.###} kWh; {quoted.EnergyKwh:0.###} kWh were assumed."),
            .. Step(QuoteCause.Load, byLoad - byEnergy, LoadSentence(quoted.Basis, billed, member)),
            .. Step(QuoteCause.Rules, FiringQuote.ShareOf(cost.Charged, member) - byLoad, RulesSentence),
        ];
    }

    /// <summary>What a step is about, without figures from which others' ware or amounts could be told.</summary>
    public static string WithoutFigures(QuoteCause cause) => cause switch
    {
        QuoteCause.Energy => "The kiln took other energy than was assumed, or it had another price.",
        QuoteCause.Load => "Others joined or left, or other ware went in.",
        _ => RulesSentence,
    };

    private static IEnumerable<QuoteStep> Step(QuoteCause cause, long amountMinor, string sentence) =>
        amountMinor == 0 ? [] : [new QuoteStep(cause, amountMinor, sentence)];

    private static long? ShareOf(FiringCostBasis basis, string member, Currency currency, decimal kwh) =>
        FiringCost.Of(basis, currency, kwh).TryGet(out var cost, out _) ? FiringQuote.ShareOf(cost.Charged, member) : null;

    private static string LoadSentence(FiringCostBasis quoted, FiringCostBasis billed, string member) =>
        $"It was shared by {billed.Uses.Count}, and this member's ware took {Percent(billed, member):0.#} % of the room used; quoted were "
            + $"{quoted.Uses.Count} and {Percent(quoted, member):0.#} %.";

    private static decimal Percent(FiringCostBasis basis, string member)
    {
        var all = basis.Uses.Sum(u => u.VolumeCm3 ?? 0);
        return all == 0 ? 0 : basis.Uses.Where(u => string.Equals(u.Id, member, StringComparison.Ordinal)).Sum(u => u.VolumeCm3 ?? 0) * 100 / all;
    }
}
