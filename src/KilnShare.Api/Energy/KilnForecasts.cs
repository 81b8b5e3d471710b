using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;

namespace KilnShare.Api.Energy;

/// <summary>What the thermal model says of a kiln as the studio wrote it down, loaded as usual.</summary>
internal static class KilnForecasts
{
    private const double RoomC = 20;

    // Common practice, no source: a kiln packed as usual holds so much ware for its room. It is the load by which published logs lie within the width before
    // learning.
    private const double WareKgPerM3 = 200;

    // The figure that absent masses of shelves stand for everywhere.
    private const double ShelfKgPerM3 = 2_000;

    /// <summary>The kiln as far as heat goes; null where its wall or power is not known.</summary>
    public static KilnHeat? HeatOf(Kiln kiln) => kiln.Making is { RatedKw: { } kw, Wall.Count: > 0 } making
        ? new KilnHeat(making.Chamber, (double)kw, making.Wall, making.LossFactor) { Vent = making.Vent } : null;

    /// <summary>The forecast of a schedule in this kiln, as learnt where that is given; null where the kiln is not described.</summary>
    public static Result<EnergyForecast>? Of(Kiln kiln, FiringSchedule schedule, FiringKind kind, KnownKiln? known = null, double? wareKg = null) =>
        (known?.Heat ?? HeatOf(kiln)) is { } heat
        ? FiringEnergy.Forecast(new FiringEnergyRequest(
            heat, wareKg is { } kg ? LoadOf(kiln, kind, kg)
                : UsualLoad(kiln, kind), RoomC, FiringEnergyQuestion.Programme(schedule), HalfWidthPercent: known?.Learnt.HalfWidthPercent)) : null;

    /// <summary>What the schedule asks for, from switching on; null where a segment goes as fast as a kiln can that is not described.</summary>
    public static Core.Cones.TemperatureHistory? PlanOf(Kiln kiln, FiringSchedule schedule, FiringKind kind, KnownKiln? known)
    {
        if (schedule.ToHistory().TryGet(out var history, out _)) return history;
        return Of(kiln, schedule, kind, known) is { } forecast && forecast.TryGet(out var found, out _) ? found.History : null;
    }

    /// <summary>The load of a firing whose ware weighs so much.</summary>
    public static LoadHeat LoadOf(Kiln kiln, FiringKind kind, double wareKg) => new(
        wareKg, FurnitureKg(kiln.Furniture), kind is FiringKind.Bisque or FiringKind.SingleFire ? Stage.Greenware : Stage.Bisque);

    private static LoadHeat UsualLoad(Kiln kiln, FiringKind kind) => LoadOf(kiln, kind, WareKgPerM3 * RoomM3(kiln.Making.Chamber));

    private static double RoomM3(Chamber chamber) => FootprintMeasure.AreaUm2(chamber.Footprint) * 1e-12 * chamber.Height.Micrometres * 1e-6;

    private static double FurnitureKg(Furniture furniture) => furniture.Shelves.Sum(s => s.Count * (s.MassG is { } massG
        ? (double)massG / 1000
        : FootprintMeasure.AreaUm2(s.Footprint) * 1e-12 * s.Thickness.Micrometres * 1e-6 * ShelfKgPerM3));
}
