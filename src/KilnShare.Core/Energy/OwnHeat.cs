namespace KilnShare.Core.Energy;

/// <summary>The heat that went into one member's ware alone: what a split by kWh charges it first.</summary>
public static class OwnHeat
{
    private const double JoulesPerKwh = 3_600_000;

    /// <summary>
    /// Heat in the ware at the peak, and what drove out its water and changed its clay, kWh to the watt-hour; furniture does not count.
    /// </summary>
    /// <remarks>Source, validity, accuracy: as <see cref="SpecificHeat.ClayJPerKg"/>; water and chemistry as in the forecast. Units: kWh.</remarks>
    public static decimal Kwh(LoadHeat ware, double startC, double peakC)
    {
        var heat = new LoadEnthalpy(ware with { FurnitureKg = 0 }, startC);
        return Math.Round((decimal)(heat.TotalJ(peakC, peakC) / JoulesPerKwh), 3, MidpointRounding.AwayFromZero);
    }
}
