using KilnShare.Core.Common;
using KilnShare.Core.Kilns;

namespace KilnShare.Core.Energy;

/// <summary>What a forecast must have before it can be made; pointers are into the body of the call.</summary>
public static class FiringEnergyRules
{
    /// <summary>The first thing wrong with a kiln's wall and vent as a studio writes them down, where it does; pointers are into the kiln.</summary>
    public static Refusal? RefuseKiln(IReadOnlyList<WallLayer> wall, double lossFactor, KilnVent? vent) =>
        Vent(vent, "/vent")
        ?? Between(lossFactor, EnergyLimits.LeastLossFactor, EnergyLimits.MostLossFactor, "/lossFactor", "as loss factor")
        ?? (wall.Count == 0 ? null : Wall(wall, "/wall"));

    /// <summary>The first thing wrong; null when there is none.</summary>
    internal static Refusal? Refuse(FiringEnergyRequest request) =>
        Kiln(request.Kiln)
        ?? Wall(request.Kiln.Wall, "/kiln/wall")
        ?? Between(request.Load.WareKg, 0, EnergyLimits.MostKg, "/load/wareKg", "kg of ware")
        ?? Between(request.Load.FurnitureKg, 0, EnergyLimits.MostKg, "/load/furnitureKg", "kg of furniture")
        ?? Between(request.Load.MoisturePercent, 0, EnergyLimits.MostMoisturePercent, "/load/moisturePercent", "% of moisture")
        ?? Between(request.AmbientC, EnergyLimits.ColdestRoomC, EnergyLimits.HottestRoomC, "/ambientC", "°C in the room")
        ?? Programme(request.Programme);

    private static Refusal? Kiln(KilnHeat kiln) =>
        Between(kiln.RatedKw, EnergyLimits.LeastKw, EnergyLimits.MostKw, "/kiln/ratedKw", "kW")
        ?? Between(kiln.LossFactor, EnergyLimits.LeastLossFactor, EnergyLimits.MostLossFactor, "/kiln/lossFactor", "as loss factor")
        ?? Vent(kiln.Vent, "/kiln/vent")
        ?? Between(kiln.ElementGrowthPercent, 0, 100, "/kiln/elementGrowthPercent", "% more resistance");

    private static Refusal? Vent(KilnVent? vent, string place) => vent is null ? null
        : Between(vent.M3PerHour, 0, EnergyLimits.MostVentM3PerHour, $"{place}/m3PerHour", "m³ of air an hour")
        ?? (vent.UntilC is { } until ? Between(until, 0, EnergyLimits.HottestC, $"{place}/untilC", "°C") : null);

    private static Refusal? Wall(IReadOnlyList<WallLayer> wall, string place)
    {
        if (wall.Count is 0 or > EnergyLimits.MostLayers)
            return Refusal.Invalid(
                "energy.no-wall", $"Say what the kiln's wall is made of, from the inside, 1 to {EnergyLimits.MostLayers} layers.", place);
        for (var i = 0; i < wall.Count; i++)
        {
            if (Layer(wall[i], $"{place}/{i}") is { } refusal) return refusal;
        }
        return null;
    }

    private static Refusal? Layer(WallLayer layer, string place)
    {
        var material = layer.Material;
        return Between((double)layer.Thickness.Mm, 1, EnergyLimits.ThickestMm, $"{place}/thicknessMm", "mm of wall")
            ?? Between(material.DensityKgPerM3, 10, 10_000, $"{place}/material/densityKgPerM3", "kg/m³")
            ?? Between(material.HeatCapacityJPerKgK, 100, 10_000, $"{place}/material/heatCapacityJPerKgK", "J/(kg·K)")
            ?? Conductivity(material.Conductivity, $"{place}/material/conductivity");
    }

    private static Refusal? Conductivity(IReadOnlyList<ConductivityPoint> points, string place)
    {
        if (points.Count is 0 or > EnergyLimits.MostConductivities)
            return Refusal.Invalid("energy.no-conductivity", $"Give 1 to {EnergyLimits.MostConductivities} conductivities.", place);
        for (var i = 0; i < points.Count; i++)
        {
            if (Between(points[i].WPerMK, 0.005, 100, $"{place}/{i}/wPerMK", "W/(m·K)") is { } refusal) return refusal;
            if (Between(points[i].MeanC, -100, 3000, $"{place}/{i}/meanC", "°C") is { } outside) return outside;
            if (i > 0 && points[i].MeanC <= points[i - 1].MeanC)
                return Refusal.Invalid("energy.not-rising", "Give conductivities by rising mean temperature.", $"{place}/{i}/meanC");
        }
        return null;
    }

    private static Refusal? Programme(PowerProgramme programme)
    {
        if (Between(programme.StartC, EnergyLimits.ColdestRoomC, EnergyLimits.HottestC, "/schedule/startC", "°C at the start") is { } start)
            return start;
        if (programme.Segments.Count is 0 or > EnergyLimits.MostSegments)
            return Refusal.Invalid("energy.no-segments", $"A schedule has 1 to {EnergyLimits.MostSegments} segments.", "/schedule/segments");
        for (var i = 0; i < programme.Segments.Count; i++)
        {
            var (segment, place) = (programme.Segments[i], $"/schedule/segments/{i}");
            var refusal = Between(segment.ToC, EnergyLimits.ColdestRoomC, EnergyLimits.HottestC, $"{place}/toC", "°C")
                ?? Between(segment.HoldMinutes, 0, EnergyLimits.LongestHoldMinutes, $"{place}/holdMinutes", "minutes of hold")
                ?? Rate(segment.RateCPerHour, $"{place}/rateCPerHour");
            if (refusal is not null) return refusal;
        }
        return Length(programme);
    }

    private static Refusal? Rate(double? rateCPerHour, string place) =>
        rateCPerHour is { } rate ? Between(rate, EnergyLimits.SlowestCPerHour, EnergyLimits.FastestCPerHour, place, "°C/h") : null;

    private static Refusal? Length(PowerProgramme programme)
    {
        var (hours, at) = (0.0, programme.StartC);
        foreach (var segment in programme.Segments)
        {
            hours += segment.HoldMinutes / 60 + (segment.RateCPerHour is { } rate ? Math.Abs(segment.ToC - at) / rate : 0);
            at = segment.ToC;
        }
        return hours <= EnergyLimits.LongestHours
            ? null
            : Refusal.Rule(
                "energy.too-long", $"The schedule takes {hours:0} h; at most {EnergyLimits.LongestHours} h are forecast.", "/schedule/segments");
    }

    private static Refusal? Between(double value, double least, double most, string place, string what) =>
        value >= least && value <= most ? null : Refusal.Invalid("energy.out-of-range", $"{value} {what} is outside {least} to {most}.", place);
}
