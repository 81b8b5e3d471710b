using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;

namespace KilnShare.Api.Costs;

/// <summary>What a single thing costs extra.</summary>
public sealed record SurchargeContract
{
    /// <summary>What it is.</summary>
    /// <example>catcher</example>
    public required string Name { get; init; }

    /// <summary>Minor units for one; below 0 a credit.</summary>
    /// <example>150</example>
    public required long EachMinor { get; init; }
}

/// <summary>How much of the kiln's wear a kind of firing is charged.</summary>
public sealed record WearRateContract
{
    /// <summary>The kind.</summary>
    /// <example>bisque</example>
    public required FiringKind Kind { get; init; }

    /// <summary>Of the wear written down for the kiln.</summary>
    /// <example>50</example>
    public required int Percent { get; init; }
}

/// <summary>What a member is let off.</summary>
public sealed record DiscountContract
{
    /// <summary>The member.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>Of the member's share, without what the member used up alone; the studio bears it.</summary>
    /// <example>20</example>
    public required int Percent { get; init; }
}

/// <summary>What members bear of the shared cost of a firing that failed; the studio bears the rest.</summary>
public sealed record FailedContract
{
    /// <summary>It did not reach its cone.</summary>
    public int ShortPercent { get; init; } = CostRules.MostPercent;

    /// <summary>It went past its cone.</summary>
    public int OverPercent { get; init; } = CostRules.MostPercent;

    /// <summary>It was broken off.</summary>
    public int AbortedPercent { get; init; } = CostRules.MostPercent;

    /// <summary>It was called off before it was lit: of what each booking was quoted; usually nothing.</summary>
    /// <example>0</example>
    public int CancelledPercent { get; init; }
}

/// <summary>What withdrawing costs from so long before the firing on: a fixed fee, a part of what was quoted, or both.</summary>
public sealed record WithdrawalStepContract
{
    /// <summary>From so many hours before the kiln is to be switched on.</summary>
    /// <example>48</example>
    public required int HoursBefore { get; init; }

    /// <summary>Of what the booking was quoted.</summary>
    /// <example>50</example>
    public int Percent { get; init; }

    /// <summary>Fixed, minor units.</summary>
    /// <example>200</example>
    public long FlatMinor { get; init; }
}

/// <summary>A price for a litre of room.</summary>
public sealed record ListPriceContract
{
    /// <summary>The kind of firing.</summary>
    /// <example>glaze</example>
    public required FiringKind Kind { get; init; }

    /// <summary>Major units as a decimal string, six places at most.</summary>
    /// <example>1.85</example>
    public required string PerLitre { get; init; }
}

/// <summary>Fixed prices by volume instead of the meter.</summary>
public sealed record PriceListContract
{
    /// <summary>Prices by kind; a kind not listed is shared by the meter.</summary>
    public required IReadOnlyList<ListPriceContract> Prices { get; init; }

    /// <summary>The least charge for one member in one firing, minor units.</summary>
    public long LeastMinor { get; init; }
}

/// <summary>How a studio shares the cost of its firings. What is left out takes its default.</summary>
public record CostRulesBody
{
    /// <summary>
    /// By what energy is divided; not direct. kwh holds in kilns that are learnt (three metered firings with a schedule), volume in the others.
    /// </summary>
    /// <example>volume</example>
    public CostBasis EnergyBasis { get; init; } = CostBasis.Volume;

    /// <summary>By what wear is divided; not direct or kwh.</summary>
    /// <example>equal</example>
    public CostBasis WearBasis { get; init; } = CostBasis.Equal;

    /// <summary>
    /// The least a member pays for a firing, before what that member alone is credited, minor units; where the firing cost less than that for all,
    /// its cost is shared out.
    /// </summary>
    /// <example>200</example>
    public long MinimumMinor { get; init; }

    /// <summary>Who pays for empty room, in parts divided by volume.</summary>
    /// <example>spread</example>
    public UnusedSpace UnusedSpace { get; init; }

    /// <summary>What single things cost extra: stilts, catchers, refires.</summary>
    public IReadOnlyList<SurchargeContract> Surcharges { get; init; } = [];

    /// <summary>Wear by kind of firing; a kind not listed is charged whole.</summary>
    public IReadOnlyList<WearRateContract> WearRates { get; init; } = [];

    /// <summary>Who pays less.</summary>
    public IReadOnlyList<DiscountContract> Discounts { get; init; } = [];

    /// <summary>True where a discount may take a share below the least charge.</summary>
    public bool DiscountsBelowLeast { get; init; }

    /// <summary>Test ware pays so many percent of its share, by room; the studio bears the rest. 100: like any other ware.</summary>
    /// <example>50</example>
    public int TestWarePercent { get; init; } = CostRules.MostPercent;

    /// <summary>
    /// Value added tax on what members are charged for firings, percent as a decimal string, three places at most; 0: none. It is rounded once a bill
    /// and stands in an account of its own; no paper is a tax invoice.
    /// </summary>
    /// <example>0</example>
    public string VatPercent { get; init; } = "0";

    /// <summary>What members bear of a firing that failed.</summary>
    public FailedContract Failed { get; init; } = new();

    /// <summary>What withdrawing late costs; where several steps hold, the dearest. Empty: nothing.</summary>
    public IReadOnlyList<WithdrawalStepContract> Withdrawal { get; init; } = [];

    /// <summary>Fixed prices; null: by the meter.</summary>
    public PriceListContract? PriceList { get; init; }

    /// <summary>In Core's terms.</summary>
    public CostRules ToCore() => new(EnergyBasis, WearBasis, MinimumMinor, UnusedSpace)
    {
        Surcharges = [.. Surcharges.Select(s => new Surcharge(s.Name, s.EachMinor))],
        WearRates = [.. WearRates.Select(r => new WearRate(r.Kind, r.Percent))],
        Discounts = [.. Discounts.Select(d => new MemberDiscount(d.MemberId.ToString(), d.Percent))],
        DiscountsBelowLeast = DiscountsBelowLeast,
        TestWarePercent = TestWarePercent,
        VatPercent = Prices.TryRead(VatPercent, out var vat) ? vat : 0,
        Failed = new ChargePolicy(Failed.ShortPercent, Failed.OverPercent, Failed.AbortedPercent) { CancelledPercent = Failed.CancelledPercent },
        Withdrawal = new WithdrawalPolicy([.. Withdrawal.Select(w => new WithdrawalStep(w.HoursBefore, w.Percent, w.FlatMinor))]),
        Prices = PriceList is null ? null
            : new ListPrices(PriceList.Prices.ToDictionary(p => p.Kind, p => Prices.TryRead(p.PerLitre, out var price) ? price : 0), PriceList.LeastMinor),
    };
}

/// <summary>The studio's cost rules.</summary>
public sealed record CostRulesAnswer : CostRulesBody
{
    /// <summary>Raised by every edit; also the ETag. 0: the studio has set none, and these are the usual ones.</summary>
    public required long Version { get; init; }

    /// <summary>The rules in sentences.</summary>
    public required IReadOnlyList<string> Sentences { get; init; }

    /// <summary>The answer for rules.</summary>
    public static CostRulesAnswer Of(CostRules rules, long version, Currency currency, IReadOnlyDictionary<string, string> names) => new()
    {
        EnergyBasis = rules.EnergyBasis,
        WearBasis = rules.WearBasis,
        MinimumMinor = rules.MinimumMinor,
        UnusedSpace = rules.UnusedSpace,
        Surcharges = [.. rules.Surcharges.Select(s => new SurchargeContract { Name = s.Name, EachMinor = s.EachMinor })],
        WearRates = [.. rules.WearRates.Select(r => new WearRateContract { Kind = r.Kind, Percent = r.Percent })],
        Discounts = [.. rules.Discounts.Select(d => new DiscountContract { MemberId = Guid.Parse(d.Member), Percent = d.Percent })],
        DiscountsBelowLeast = rules.DiscountsBelowLeast,
        TestWarePercent = rules.TestWarePercent,
        VatPercent = Prices.Write(rules.VatPercent),
        Failed = new FailedContract
        {
            ShortPercent = rules.Failed.ShortPercent,
            OverPercent = rules.Failed.OverPercent,
            AbortedPercent = rules.Failed.AbortedPercent,
            CancelledPercent = rules.Failed.CancelledPercent,
        },
        Withdrawal = [
            .. rules.Withdrawal.Steps.Select(w => new WithdrawalStepContract { HoursBefore = w.HoursBefore, Percent = w.Percent, FlatMinor = w.FlatMinor })],
        PriceList = rules.Prices is not { } list ? null : new PriceListContract
        {
            Prices = [.. list.PerLitre.OrderBy(p => p.Key).Select(p => new ListPriceContract { Kind = p.Key, PerLitre = Prices.Write(p.Value) })],
            LeastMinor = list.LeastMinor,
        },
        Version = version,
        Sentences = CostSentences.Of(rules, currency, names),
    };
}
