using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;

namespace KilnShare.Core.Costs;

/// <summary>Prices by volume instead of the meter.</summary>
/// <param name="PerLitre">Major units for a litre of spacing envelope, by kind of firing; a kind not listed is shared by the meter.</param>
/// <param name="LeastMinor">The least charge for one member in one firing.</param>
public sealed record ListPrices(IReadOnlyDictionary<FiringKind, decimal> PerLitre, long LeastMinor)
{
    /// <summary>As a price list in a currency.</summary>
    public PriceList In(Currency currency) => new(currency, PerLitre, LeastMinor);
}

/// <summary>How much of the kiln's wear a kind of firing is charged: a bisque wears elements less than a glaze firing.</summary>
/// <param name="Kind">The kind.</param>
/// <param name="Percent">Of the wear written down for the kiln.</param>
public sealed record WearRate(FiringKind Kind, int Percent);

/// <summary>What a member is let off; the studio bears it.</summary>
/// <param name="Member">The member.</param>
/// <param name="Percent">Of the member's whole share, 1 to 100.</param>
public sealed record MemberDiscount(string Member, int Percent);

/// <summary>How a studio shares the cost of its firings.</summary>
/// <param name="EnergyBasis">By what energy is divided.</param>
/// <param name="WearBasis">By what wear is divided.</param>
/// <param name="MinimumMinor">The least a member pays; 0: none.</param>
/// <param name="UnusedSpace">Who pays for empty room, in parts divided by volume.</param>
public sealed record CostRules(CostBasis EnergyBasis, CostBasis WearBasis, long MinimumMinor, UnusedSpace UnusedSpace)
{
    /// <summary>Percents of wear, surcharges and discounts reach up to this.</summary>
    public const int MostPercent = 100;

    /// <summary>The parts of a cost that the house names itself; no surcharge may be called so.</summary>
    public static readonly IReadOnlySet<string> OwnParts = new HashSet<string>(StringComparer.Ordinal)
    {
        EnergyPart, WearPart, CostLimits.MinimumPart, ChargePolicy.NotChargedPart, PriceList.ListPart, PriceList.DifferencePart, Core.Costs.Discounts.Part,
        Core.Costs.Discounts.TestWarePart, Vat.Part,
    };

    /// <summary>The name of the energy's part.</summary>
    public const string EnergyPart = "energy";

    /// <summary>The name of the wear's part.</summary>
    public const string WearPart = "wear";

    /// <summary>Energy by volume, wear the same for everyone, nothing else. Common practice, no source.</summary>
    public static CostRules Usual { get; } = new(CostBasis.Volume, CostBasis.Equal, 0, UnusedSpace.Spread);

    /// <summary>What single things cost extra.</summary>
    public IReadOnlyList<Surcharge> Surcharges { get; init; } = [];

    /// <summary>Wear by kind of firing; a kind not listed is charged whole.</summary>
    public IReadOnlyList<WearRate> WearRates { get; init; } = [];

    /// <summary>Who pays less.</summary>
    public IReadOnlyList<MemberDiscount> Discounts { get; init; } = [];

    /// <summary>True where discounts may take a share below the least charge.</summary>
    public bool DiscountsBelowLeast { get; init; }

    /// <summary>Test ware pays so many percent of its share, by room; the studio bears the rest. 100: like any other ware.</summary>
    public int TestWarePercent { get; init; } = MostPercent;

    /// <summary>Value added tax on what members are charged for firings, percent; 0: none.</summary>
    public decimal VatPercent { get; init; }

    /// <summary>What members bear of a firing that failed.</summary>
    public ChargePolicy Failed { get; init; } = ChargePolicy.Shared;

    /// <summary>Fixed prices; null: by the meter.</summary>
    public ListPrices? Prices { get; init; }

    /// <summary>What withdrawing late costs.</summary>
    public WithdrawalPolicy Withdrawal { get; init; } = WithdrawalPolicy.Free;

    /// <summary>Wear charged in a firing of that kind, minor units rounded once.</summary>
    public long WearMinor(long kilnWearMinor, FiringKind kind) =>
        WearRates.FirstOrDefault(r => r.Kind == kind) is { } rate ? MinorUnits.Rounded(kilnWearMinor * (decimal)rate.Percent / 100) : kilnWearMinor;

    /// <summary>How many percent of the shared cost members bear, by how the firing came out.</summary>
    public int MembersPercent(FiringOutcome outcome) => outcome switch
    {
        FiringOutcome.Short => Failed.ShortPercent,
        FiringOutcome.Over => Failed.OverPercent,
        FiringOutcome.Aborted => Failed.AbortedPercent,
        _ => 100,
    };
}

/// <summary>A studio's cost rules as they stand.</summary>
public sealed class StudioCostRules(Id<Studio> studioId, CostRules rules)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The rules.</summary>
    public CostRules Rules { get; set; } = rules;

    /// <summary>Raised by every edit.</summary>
    public long Version { get; set; } = 1;
}
