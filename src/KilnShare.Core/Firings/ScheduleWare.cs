using KilnShare.Core.Common;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Firings;

/// <summary>The ware a schedule has to be kind to: its thickest wall and what it has been fired to.</summary>
/// <param name="ThickestWallMm">The thickest wall in the load, mm; null where not known.</param>
/// <param name="Stage">What it has been fired to.</param>
/// <param name="Dryness">How dry greenware is; null where not known, and for fired ware.</param>
public sealed record ScheduleWare(double? ThickestWallMm, Stage Stage, Dryness? Dryness = null)
{
    /// <summary>Thickest wall taken, mm.</summary>
    public const double MostWallMm = 500;

    /// <summary>Null where the wall is one that ware can have, or is not known.</summary>
    public Refusal? Check() => ThickestWallMm is not { } wall || (wall > 0 && wall <= MostWallMm)
        ? null
        : Refusal.Invalid("firings.walls-out-of-range", $"A wall is thicker than 0 and at most {MostWallMm} mm.", "/ware/thickestWallMm");

    /// <summary>True for greenware known not to be dry through: it does not go past 100 °C at any rate.</summary>
    public bool IsDamp => Stage == Stage.Greenware && Dryness is Pieces.Dryness.Wet or Pieces.Dryness.LeatherHard;
}

/// <summary>How fast ware may pass the key temperatures.</summary>
/// <remarks>
/// Source: the rates of published teaching schedules (university ceramics teaching notes: thin ware passes 100 °C and 573 °C at
/// 100 °C/h and goes on at 150; thick ware the same after 3 h at 90 °C). That the rate is divided by the wall beyond a usual thickness,
/// and the figures for fired ware and for cooling, are common practice, no source.
/// Units: mm, °C/h. Valid for: ordinary bodies; a caution, not a promise.
/// </remarks>
public static class WareLimits
{
    /// <summary>Walls up to here dry out evenly at the thin-ware rate, mm (common practice, no source).</summary>
    public const double ThinForWaterMm = 10;

    /// <summary>Walls up to here burn out at the thin-ware rate, mm (the published programme for thick ware does not slow down there).</summary>
    public const double ThinForBurningOutMm = 25;

    /// <summary>Walls up to here change size evenly at the thin-ware rate, mm (common practice, no source).</summary>
    public const double ThinForChangesOfSizeMm = 15;

    /// <summary>A hold that dries ware before it passes 100 °C: least hours (kiln makers' manuals: 2 to 12 h at 80 to 95 °C).</summary>
    public const double LeastHoldHours = 2;

    /// <summary>The longest such hold that is asked for, h (the same manuals).</summary>
    public const double MostHoldHours = 12;

    /// <summary>Lowest temperature of such a hold, °C (kiln makers' manuals).</summary>
    public const double CandlingFromC = 80;

    /// <summary>Highest temperature of such a hold, °C (kiln makers' manuals).</summary>
    public const double CandlingToC = 95;

    /// <summary>
    /// Walls up to here are dried by the least hold, mm (university teaching notes give 3 h for thick ware without a figure; common practice, no
    /// source).
    /// </summary>
    public const double DriedByLeastHoldMm = 20;

    /// <summary>The drying hold that a wall wants, h: the least up to 20 mm, and growing with the square of the wall beyond.</summary>
    /// <remarks>
    /// Source: kiln makers' manuals for 2 to 12 h; that drying time goes by the square of the wall, as diffusion does, is common practice, no source.
    /// Units: mm in, h out. Valid for: ware that feels dry. Accuracy: a rule of thumb.
    /// </remarks>
    public static double DryingHoldHours(double wallMm) =>
        Math.Clamp(LeastHoldHours * (wallMm / DriedByLeastHoldMm) * (wallMm / DriedByLeastHoldMm), LeastHoldHours, MostHoldHours);

    /// <summary>The fastest kind rate at a key temperature, °C/h; null where the wall is not known.</summary>
    /// <remarks>Damp ware has none: see <see cref="ScheduleWare.IsDamp"/>.</remarks>
    /// <param name="key">Where.</param>
    /// <param name="climbing">On the way up, or down.</param>
    /// <param name="ware">Which ware.</param>
    /// <param name="candled">True after a drying hold.</param>
    public static double? FastestCPerHour(KeyTemperature key, bool climbing, ScheduleWare ware, bool candled)
    {
        if (ware.ThickestWallMm is not { } wall) return null;
        var green = ware.Stage == Stage.Greenware;
        if (key == KeyTemperatures.Water) return green ? 100 * (candled ? 1 : Share(wall, ThinForWaterMm)) : 200;
        if (key == KeyTemperatures.Cristobalite) return 100 * Share(wall, ThinForChangesOfSizeMm);
        if (key == KeyTemperatures.Quartz) return (green || !climbing ? 150 : 200) * Share(wall, ThinForChangesOfSizeMm);
        return (green ? 150 : 300) * Share(wall, ThinForBurningOutMm);
    }

    private static double Share(double wallMm, double thinMm) => Math.Min(1, thinMm / wallMm);
}
