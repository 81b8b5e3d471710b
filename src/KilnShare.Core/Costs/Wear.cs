using KilnShare.Core.Common;

namespace KilnShare.Core.Costs;

/// <summary>What wears out with every firing.</summary>
public enum WearPart
{
    /// <summary>A set of heating elements.</summary>
    Elements,

    /// <summary>A type K thermocouple.</summary>
    ThermocoupleK,
}

/// <summary>How hot, as far as wear goes.</summary>
public enum WearHeat
{
    /// <summary>Bisque and low fire, up to about cone 04.</summary>
    Low,

    /// <summary>About cone 6.</summary>
    Middle,

    /// <summary>About cone 10.</summary>
    High,
}

/// <summary>The fixed part of a firing: what to put by for what wears out.</summary>
public static class Wear
{
    /// <summary>How many firings it lasts, from and to; for elements the low-fire figure is at least so many.</summary>
    /// <remarks>Source: kiln makers' published lives of elements and thermocouples.</remarks>
    public static (int From, int To) LifeFirings(WearPart part, WearHeat heat) => (part, heat) switch
    {
        (WearPart.Elements, WearHeat.Low) => (400, 500),
        (WearPart.Elements, WearHeat.Middle) => (150, 350),
        (WearPart.Elements, _) => (35, 100),
        (_, WearHeat.Low) => (150, 150),
        (_, WearHeat.Middle) => (50, 50),
        _ => (20, 20),
    };

    /// <summary>What one firing wears off a replacement, by the middle of its life; minor units rounded once.</summary>
    public static long PerFiringMinor(long replacementMinor, WearPart part, WearHeat heat)
    {
        var (from, to) = LifeFirings(part, heat);
        return MinorUnits.Rounded(replacementMinor * 2m / (from + to));
    }
}
