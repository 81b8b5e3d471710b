using KilnShare.Core.Common;
using KilnShare.Core.Firings;

namespace KilnShare.Core.Costs;

/// <summary>
/// All that a firing's cost goes by, but the energy. It is kept with the settlement, so that a corrected meter divides by the same rules again.
/// </summary>
/// <param name="TieSeed">The firing's id.</param>
/// <param name="Kind">What was fired.</param>
/// <param name="Outcome">How it came out.</param>
/// <param name="PerKwh">Price of a kWh, major units.</param>
/// <param name="WearMinor">Wear written down for the kiln.</param>
/// <param name="Uses">Who fired what.</param>
/// <param name="SurchargeUses">What single members used up.</param>
/// <param name="Rules">The studio's rules.</param>
/// <param name="CapacityCm3">What the kiln holds.</param>
public sealed record FiringCostBasis(
    string TieSeed, FiringKind Kind, FiringOutcome Outcome, decimal PerKwh, long WearMinor, IReadOnlyList<MemberUse> Uses,
    IReadOnlyList<SurchargeUse> SurchargeUses, CostRules Rules, decimal CapacityCm3)
{
    /// <summary>What the kiln's tariff made of the metered energy; null where the flat price holds.</summary>
    public BilledEnergy? Billed { get; init; }

    /// <summary>How many metered firings the kiln has been learnt from; null where that was not asked.</summary>
    public int? LearntFirings { get; init; }

    /// <summary>That its energy was settled although it cannot be by what is known of the kiln; null where nothing spoke against it.</summary>
    public OverruledDoubts? Overruled { get; init; }
}

/// <summary>An owner's word that a firing's energy is right all the same.</summary>
/// <param name="Codes">What spoke against it.</param>
/// <param name="Reason">Why it is right.</param>
/// <param name="Member">Who said so.</param>
public sealed record OverruledDoubts(IReadOnlyList<string> Codes, string Reason, string Member);

/// <summary>Energy with its bill.</summary>
/// <param name="Kwh">The energy.</param>
/// <param name="AmountMinor">The bill, minor units.</param>
public sealed record BilledEnergy(decimal Kwh, long AmountMinor);

/// <summary>What a firing cost and who bears what of it by a studio's rules.</summary>
/// <param name="EnergyKwh">The energy it took.</param>
/// <param name="Request">What is divided by the meter.</param>
/// <param name="Metered">The split by the meter.</param>
/// <param name="Charged">What is charged: the same, or by the price list, less discounts, which adds up to what the firing cost; and value added tax
/// on top.</param>
public sealed record FiringCost(decimal EnergyKwh, CostSplitRequest Request, CostSplitAnswer Metered, CostSplitAnswer Charged)
{
    /// <summary>The cost of so much energy, divided.</summary>
    public static Result<FiringCost> Of(FiringCostBasis basis, Currency currency, decimal energyKwh) =>
        RequestOf(basis, currency, energyKwh).Then(request => Metering(basis, request).Then(metered =>
            Charging(basis, currency, request, metered).Then(charged => LetOff(basis, currency, energyKwh, charged)).Then<FiringCost>(charged =>
                new FiringCost(energyKwh, request, metered, Vat.PutOn(charged, basis.Rules.VatPercent)))));

    /// <summary>True where members pay list prices.</summary>
    public static bool IsByList(FiringCostBasis basis) => basis.Rules.Prices?.PerLitre.ContainsKey(basis.Kind) == true;

    /// <summary>What is to be divided by the meter.</summary>
    public static Result<CostSplitRequest> RequestOf(FiringCostBasis basis, Currency currency, decimal energyKwh) =>
        Surcharges.Parts(basis.Rules.Surcharges, basis.SurchargeUses).Then<CostSplitRequest>(direct =>
        {
            var (rules, wear) = (basis.Rules, basis.Rules.WearMinor(basis.WearMinor, basis.Kind));
            var by = KwhOffer.EnergyBasis(rules, basis.LearntFirings);
            var kwh = by == CostBasis.Kwh ? energyKwh : (decimal?)null;
            List<CostPart> parts = [new CostPart(CostRules.EnergyPart, EnergyMinor(basis, currency, energyKwh), by, EnergyKwh: kwh)];
            if (wear > 0) parts.Add(new CostPart(CostRules.WearPart, wear, rules.WearBasis));
            parts.AddRange(direct);
            var payable = basis.Uses.Count == 0 ? 0 : Math.Max(0, parts.Where(p => !p.IsCredit).Sum(p => p.AmountMinor) / basis.Uses.Count);
            return new CostSplitRequest(
                currency, parts, basis.Uses, basis.TieSeed, Math.Min(rules.MinimumMinor, payable), rules.UnusedSpace,
                rules.UnusedSpace == UnusedSpace.Studio ? basis.CapacityCm3 : null);
        });

    /// <summary>By the kiln's tariff where it was billed, in proportion where a corrected meter shows other energy; else by the flat price.</summary>
    private static long EnergyMinor(FiringCostBasis basis, Currency currency, decimal energyKwh) => basis.Billed switch
    {
        null => MinorUnits.Of(energyKwh * basis.PerKwh, currency),
        { Kwh: 0 } billed => billed.AmountMinor,
        var billed => MinorUnits.Rounded(billed.AmountMinor * energyKwh / billed.Kwh),
    };

    private static Result<CostSplitAnswer> Metering(FiringCostBasis basis, CostSplitRequest request) =>
        ChargePolicy.Split(request, basis.Rules.MembersPercent(basis.Outcome)).Then<CostSplitAnswer>(answer =>
            answer with { Notes = [.. answer.Notes, .. new[] { KwhOffer.NoteOf(basis), MinimumLowered(basis, request) }.OfType<SplitNote>()] });

    /// <summary>The charges less what members are let off.</summary>
    private static Result<CostSplitAnswer> LetOff(FiringCostBasis basis, Currency currency, decimal energyKwh, CostSplitAnswer charged)
    {
        var rules = basis.Rules;
        if (rules.Discounts.Count == 0 && rules.TestWarePercent == CostRules.MostPercent) return charged;
        var shared = basis with { SurchargeUses = [] };
        return RequestOf(shared, currency, energyKwh).Then(request => Metering(shared, request).Then(metered =>
            Charging(shared, currency, request, metered)
                .Then<CostSplitAnswer>(bears => Discounts.Apply(charged, bears, rules, basis.Uses, Least(basis, request)))));
    }

    /// <summary>Below what discounts do not go; of a firing that failed no least charge is asked.</summary>
    private static long Least(FiringCostBasis basis, CostSplitRequest shared) => basis.Rules switch
    {
        { DiscountsBelowLeast: true } => 0,
        var rules when rules.MembersPercent(basis.Outcome) < CostRules.MostPercent => 0,
        var rules => IsByList(basis) ? rules.Prices!.LeastMinor : shared.MinimumMinor,
    };

    private static Result<CostSplitAnswer> Charging(FiringCostBasis basis, Currency currency, CostSplitRequest request, CostSplitAnswer metered)
    {
        if (!IsByList(basis)) return metered;
        var direct = request.Parts.Where(p => p.Basis == CostBasis.Direct).ToArray();
        var shared = request.Parts.Where(p => p.Basis != CostBasis.Direct).Sum(p => p.AmountMinor);
        return basis.Rules.Prices!.In(currency).Split(basis.Kind, basis.Uses, shared).Then<CostSplitAnswer>(listed =>
        {
            var percent = basis.Rules.MembersPercent(basis.Outcome);
            var members = listed.Shares.Where(s => !s.Studio).Select(s => Listed(s, percent, direct)).ToArray();
            var total = shared + direct.Sum(p => p.AmountMinor);
            return new CostSplitAnswer(
                [.. members, Share.OfStudio.With(PriceList.DifferencePart, total - members.Sum(s => s.AmountMinor))], total, listed.Notes);
        });
    }

    private static Share Listed(Share listed, int percent, IEnumerable<CostPart> direct)
    {
        var share = new Share(listed.Id, false, 0, []).With(PriceList.ListPart, MinorUnits.Rounded(listed.AmountMinor * percent / 100m));
        foreach (var part in direct.Where(p => string.Equals(p.To, listed.Id, StringComparison.Ordinal))) share = share.With(part.Name, part.AmountMinor);
        return share;
    }

    private static SplitNote? MinimumLowered(FiringCostBasis basis, CostSplitRequest request) =>
        request.MinimumMinor == basis.Rules.MinimumMinor || basis.Rules.MembersPercent(basis.Outcome) < 100 ? null : new SplitNote(
            "costs.minimum-lowered", CostLimits.MinimumPart,
            $"The studio's least charge of {basis.Rules.MinimumMinor} for {basis.Uses.Count} members is more than this firing cost: {request.MinimumMinor} "
                + $"was asked instead.");
}
