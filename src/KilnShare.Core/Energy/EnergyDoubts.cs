using System.Globalization;
using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>Why a firing's energy cannot be, or cannot cost, what was written down.</summary>
/// <param name="Code">Stable code, <c>energy.what-is-wrong</c>.</param>
/// <param name="Message">What is wrong with which reading, and what to do.</param>
public sealed record EnergyDoubt(string Code, string Message);

/// <summary>A meter with the heat of a unit of its register, as the readings of a firing say it.</summary>
/// <param name="Meter">Its name.</param>
/// <param name="KwhPerUnit">kWh; null where the readings are of kWh.</param>
/// <param name="Differs">True where the readings, or those of the kiln's firing before, are some of kWh and some of another unit.</param>
public sealed record MeterUnit(string Meter, decimal? KwhPerUnit, bool Differs);

/// <summary>A firing's energy as it was written down, and what tells whether it can be.</summary>
/// <param name="Firing">The firing in words: kind, cone, kiln and day.</param>
/// <param name="Take">What it is said to have taken.</param>
public sealed record EnergyClaim(string Firing, FiringTake Take)
{
    /// <summary>Power on the kiln's plate; null where not known, and for a kiln that burns gas.</summary>
    public decimal? RatedKw { get; init; }

    /// <summary>By whose clock times are told: the studio's.</summary>
    public DateTimeZone Zone { get; init; } = DateTimeZone.Utc;

    /// <summary>The heat its ware alone took up, kWh; null where that is not known, or the firing did not reach its cone.</summary>
    public decimal? WareKwh { get; init; }

    /// <summary>The meters read.</summary>
    public IReadOnlyList<MeterUnit> Meters { get; init; } = [];

    /// <summary>What it burnt.</summary>
    public Fuel Fuel { get; init; }

    /// <summary>What the price of a kWh is for.</summary>
    public Fuel PricedFor { get; init; }
}

/// <summary>Looks whether a firing's energy can be what was written down.</summary>
public static class EnergyDoubts
{
    /// <summary>More power than a reading showed a kiln to have.</summary>
    public const string AboveRatedPower = "energy.above-rated-power";

    /// <summary>Less energy than the ware holds.</summary>
    public const string BelowWareHeat = "energy.below-ware-heat";

    /// <summary>Gas at the price of electricity, or the other way round.</summary>
    public const string OtherFuelPrice = "energy.priced-as-other-fuel";

    /// <summary>Some readings of kWh, others of another unit.</summary>
    public const string UnitDiffers = "energy.unit-differs";

    /// <summary>A unit of a register that holds more or less heat than any gas.</summary>
    public const string UnitNotLikely = "energy.unit-not-likely";

    /// <summary>Elements give no more than so many times what is on the plate: mains voltage and tolerances (common practice, no source).</summary>
    private const decimal MostOfRated = 1.2m;

    /// <summary>A register that shows whole kWh is read off by up to one.</summary>
    private const decimal ReadOffKwh = 1;

    /// <summary>
    /// A unit of gas holds so much heat: a litre of liquid gas 7 kWh, a cubic metre of natural gas 10 to 12, of propane 26, a hundred cubic feet 31.
    /// From memory of suppliers' bills; a third more and less is let pass. A figure about 3.6 times as high is in megajoules.
    /// </summary>
    private const decimal LeastKwhPerUnit = 5;
    private const decimal MostKwhPerUnit = 33;

    /// <summary>All that speaks against a claim; empty where nothing does.</summary>
    /// <remarks>Source: energy is power times time, and the elements' heat is all that ware can take up. Units: kW, kWh.</remarks>
    public static IReadOnlyList<EnergyDoubt> Of(EnergyClaim claim) =>
        [.. claim.Meters.Select(m => Unit(claim, m)).Concat([TooMuch(claim), TooLittle(claim), OtherFuel(claim)]).OfType<EnergyDoubt>()];

    private static EnergyDoubt? TooMuch(EnergyClaim claim)
    {
        if (claim.RatedKw is not { } rated || claim.Fuel == Fuel.Gas) return null;
        var (ends, kw) = (claim.Take.Power.EndSeconds, claim.Take.Power.Kw);
        for (var i = 1; i < ends.Count; i++)
        {
            var hours = (decimal)(ends[i] - ends[i - 1]) / 3600;
            var kwh = (decimal)kw[i] * hours;
            if (kwh <= MostOfRated * rated * hours + ReadOffKwh) continue;
            var (from, to) = (claim.Take.From.Plus(Duration.FromSeconds(ends[i - 1])), claim.Take.From.Plus(Duration.FromSeconds(ends[i])));
            return new EnergyDoubt(AboveRatedPower, string.Create(
                CultureInfo.InvariantCulture,
                $"The {claim.Firing} is said to have taken {kwh:0.###} kWh from {Moments.Of(from, claim.Zone)} to {Moments.Of(to, claim.Zone)}. Its kiln has "
                    + $"{rated:0.###} kW and gives {rated * hours:0.#} kWh in that time at the most. Look for a digit too many, for watt-hours read as kWh, "
                    + $"or for the wrong hour; strike that reading and write the right one down."));
        }

        return null;
    }

    private static EnergyDoubt? TooLittle(EnergyClaim claim) => claim.WareKwh is not { } ware || claim.Take.Kwh >= ware ? null : new EnergyDoubt(
        BelowWareHeat,
        string.Create(
            CultureInfo.InvariantCulture,
            $"The {claim.Firing} reached its cone, and its ware alone took up {ware:0.###} kWh; only {claim.Take.Kwh:0.###} kWh are written down. Look for "
                + $"megawatt-hours read as kWh, for a reading of another meter, or for one taken too late; strike it and write the right one down."));

    private static EnergyDoubt? OtherFuel(EnergyClaim claim) => claim.Fuel == claim.PricedFor ? null : new EnergyDoubt(
        OtherFuelPrice,
        claim.Fuel == Fuel.Gas
            ? $"The {claim.Firing} burnt gas, and the price that would be charged is that of electricity. Write a tariff for gas down and name it in the kiln."
            : $"The {claim.Firing} took electricity, and its kiln names a tariff for gas. Name another tariff in the kiln, or say on the readings what a "
                + $"unit of gas holds.");

    private static EnergyDoubt? Unit(EnergyClaim claim, MeterUnit meter) => meter switch
    {
        { Differs: true } => new EnergyDoubt(
            UnitDiffers,
            $"Some readings of {meter.Meter} for the {claim.Firing}, or for the firing of its kiln before, are of kWh and others of a unit with kwhPerUnit. "
                + $"Strike those that are wrong and write them down in one unit."),
        { KwhPerUnit: < LeastKwhPerUnit or > MostKwhPerUnit } => new EnergyDoubt(
            UnitNotLikely,
            string.Create(
                CultureInfo.InvariantCulture,
                $"A unit of {meter.Meter} is said to hold {meter.KwhPerUnit:0.######} kWh in the {claim.Firing}; of gas it holds {LeastKwhPerUnit} to "
                    + $"{MostKwhPerUnit}. A bill that gives megajoules is divided by 3.6. Strike the readings and write them down with the right figure.")),
        _ => null,
    };
}
