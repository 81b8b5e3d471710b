namespace KilnShare.Core.Firings;

/// <summary>Something that happens to ware between two temperatures.</summary>
/// <param name="Name">Short name, e.g. <c>quartz</c>.</param>
/// <param name="FromC">Lower end, °C.</param>
/// <param name="ToC">Upper end, °C; the same where it happens at one temperature.</param>
/// <param name="WhenHeating">It matters on the way up.</param>
/// <param name="WhenCooling">It matters on the way down.</param>
/// <param name="What">What happens, in a few words.</param>
public sealed record KeyTemperature(string Name, double FromC, double ToC, bool WhenHeating, bool WhenCooling, string What)
{
    // The rate at a single temperature is looked at so far to either side: a thermocouple and a wall are not at one temperature.
    private const double AroundC = 10;

    /// <summary>Lower end of the stretch over which the rate is looked at, °C.</summary>
    public double WatchedFromC => FromC.Equals(ToC) ? FromC - AroundC : FromC;

    /// <summary>Upper end of the stretch over which the rate is looked at, °C.</summary>
    public double WatchedToC => FromC.Equals(ToC) ? ToC + AroundC : ToC;
}

/// <summary>The temperatures a firing is watched at.</summary>
/// <remarks>Source: American Ceramic Society kiln firing chart (2005), published.</remarks>
public static class KeyTemperatures
{
    /// <summary>Free water turns to steam; dry ware only.</summary>
    public static KeyTemperature Water { get; } = new("water", 100, 100, true, false, "the last free water turns to steam");

    /// <summary>Organic matter burns out and wants air.</summary>
    public static KeyTemperature Organics { get; } = new("organics", 300, 800, true, false, "organic matter burns out and wants air");

    /// <summary>Chemically combined water leaves the clay.</summary>
    public static KeyTemperature CombinedWater { get; } = new("combined-water", 450, 700, true, false, "chemically combined water leaves the clay");

    /// <summary>Quartz changes its form, and its size at once, on the way up and on the way down.</summary>
    public static KeyTemperature Quartz { get; } = new("quartz", 573, 573, true, true, "quartz changes size at once");

    /// <summary>Cristobalite changes its form on cooling.</summary>
    public static KeyTemperature Cristobalite { get; } = new("cristobalite", 220, 226, false, true, "cristobalite shrinks at once");

    /// <summary>All of them, in the order of temperature on the way up, then those of cooling only.</summary>
    public static IReadOnlyList<KeyTemperature> All { get; } = [Water, Organics, CombinedWater, Quartz, Cristobalite];
}
