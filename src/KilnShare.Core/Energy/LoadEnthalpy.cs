using KilnShare.Core.Pieces;

namespace KilnShare.Core.Energy;

/// <summary>
/// The heat of a load as a function of its temperature: ware and furniture take it up and give it back; water and the chemistry of raw clay
/// take it up once, on the first way up.
/// </summary>
internal sealed class LoadEnthalpy(LoadHeat load, double startC)
{
    /// <summary>From 20 °C to steam. Source: steam tables.</summary>
    private const double WaterJPerKg = 2_592_000;

    /// <summary>The water is taken to leave evenly over this span. Common practice: dried below, gone above.</summary>
    private const double WaterFromC = 60;
    private const double WaterToC = 120;

    /// <summary>Middle of the all-in figure for a bisque, 150–350 kJ/kg of dry body. Common practice, no source.</summary>
    private const double ChemistryJPerKg = 250_000;

    /// <summary>Chemically combined water leaves over this span. Source: American Ceramic Society kiln firing chart (2005).</summary>
    private const double ChemistryFromC = 450;
    private const double ChemistryToC = 700;

    private bool HasClayWater => load.Stage == Stage.Greenware;

    private readonly double waterKg = load.WareKg * load.MoisturePercent / 100;

    public double WareJ(double celsius) => load.WareKg * (SpecificHeat.ClayJPerKg(celsius) - SpecificHeat.ClayJPerKg(startC));

    public double FurnitureJ(double celsius) => load.FurnitureKg * (SpecificHeat.FurnitureJPerKg(celsius) - SpecificHeat.FurnitureJPerKg(startC));

    public double WaterJ(double hottestC) => Once(waterKg * WaterJPerKg, WaterFromC, WaterToC, hottestC);

    public double ChemistryJ(double hottestC) => HasClayWater ? Once(load.WareKg * ChemistryJPerKg, ChemistryFromC, ChemistryToC, hottestC) : 0;

    /// <summary>All of it at a temperature, when the load has been at <paramref name="hottestC"/> before.</summary>
    public double TotalJ(double celsius, double hottestC)
    {
        var hottest = Math.Max(celsius, hottestC);
        return WareJ(celsius) + FurnitureJ(celsius) + WaterJ(hottest) + ChemistryJ(hottest);
    }

    /// <summary>Heat for one degree more, J/K; what is taken up once counts only on the way to a new high.</summary>
    public double SlopeJPerK(double celsius, double hottestC)
    {
        var slope = load.WareKg * SpecificHeat.ClayJPerKgK(celsius) + load.FurnitureKg * SpecificHeat.FurnitureJPerKgK(celsius);
        if (celsius < hottestC) return slope;
        if (celsius is >= WaterFromC and < WaterToC) slope += waterKg * WaterJPerKg / (WaterToC - WaterFromC);
        if (HasClayWater && celsius is >= ChemistryFromC and < ChemistryToC) slope += load.WareKg * ChemistryJPerKg / (ChemistryToC - ChemistryFromC);
        return slope;
    }

    // A load that starts above a span has done that part before.
    private double Once(double joules, double fromC, double toC, double hottestC) =>
        joules * (Math.Clamp((hottestC - fromC) / (toC - fromC), 0, 1) - Math.Clamp((startC - fromC) / (toC - fromC), 0, 1));
}
