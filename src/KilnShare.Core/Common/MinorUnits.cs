namespace KilnShare.Core.Common;

/// <summary>From exact decimals to whole minor units: the one place where money is rounded.</summary>
public static class MinorUnits
{
    /// <summary>An amount in major units as whole minor units, rounded once, half away from zero.</summary>
    public static long Of(decimal major, Currency currency)
    {
        var minor = major;
        for (var digit = 0; digit < currency.MinorDigits; digit++) minor *= 10;
        return Rounded(minor);
    }

    /// <summary>A fraction of minor units rounded once, half away from zero.</summary>
    public static long Rounded(decimal minor) => (long)Math.Round(minor, 0, MidpointRounding.AwayFromZero);
}
