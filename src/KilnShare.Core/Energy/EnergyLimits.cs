namespace KilnShare.Core.Energy;

/// <summary>The widest a forecast takes; validator and schema read them from here.</summary>
public static class EnergyLimits
{
    /// <summary>Least rated power, kW.</summary>
    public const double LeastKw = 0.1;

    /// <summary>Greatest rated power, kW.</summary>
    public const double MostKw = 1_000;

    /// <summary>Least loss factor.</summary>
    public const double LeastLossFactor = 0.2;

    /// <summary>Greatest loss factor.</summary>
    public const double MostLossFactor = 5;

    /// <summary>Most air that a vent draws through a chamber, m³/h.</summary>
    public const double MostVentM3PerHour = 200;

    /// <summary>Layers of a wall.</summary>
    public const int MostLayers = 8;

    /// <summary>Points of a conductivity.</summary>
    public const int MostConductivities = 20;

    /// <summary>Thickest layer, mm.</summary>
    public const double ThickestMm = 1_000;

    /// <summary>Heaviest ware or furniture, kg.</summary>
    public const double MostKg = 20_000;

    /// <summary>Wettest ware, percent of dry mass.</summary>
    public const double MostMoisturePercent = 40;

    /// <summary>Coldest room, °C.</summary>
    public const double ColdestRoomC = -30;

    /// <summary>Hottest room, °C.</summary>
    public const double HottestRoomC = 50;

    /// <summary>Hottest target, °C.</summary>
    public const double HottestC = 1_500;

    /// <summary>Segments of a schedule.</summary>
    public const int MostSegments = 32;

    /// <summary>Longest schedule, hours.</summary>
    public const double LongestHours = 240;

    /// <summary>Longest hold, minutes.</summary>
    public const double LongestHoldMinutes = 6_000;

    /// <summary>Slowest rate, °C/h.</summary>
    public const double SlowestCPerHour = 1;

    /// <summary>Fastest rate, °C/h.</summary>
    public const double FastestCPerHour = 2_000;
}
