using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Energy;

/// <summary>A vent that draws room air through the chamber.</summary>
/// <param name="M3PerHour">So much of it, as it enters; not what the fan takes in beside the kiln.</param>
/// <param name="UntilC">It is shut when the kiln first reaches this; null: it stays open.</param>
public sealed record KilnVent(double M3PerHour, double? UntilC = null)
{
    /// <summary>Heat that the air takes along for each degree above the room, W/K.</summary>
    /// <remarks>
    /// Source: 1.2 kg of room air a cubic metre, 1.1 kJ/(kg·K) as the mean up to firing temperature (from memory of gas tables). Units: W/K. Accuracy: 5 %.
    /// </remarks>
    public double WPerK => M3PerHour / 3600 * 1.2 * 1100;

    /// <summary>True while it is open.</summary>
    public bool IsOpenAt(double hottestC) => UntilC is not { } until || hottestC < until;
}

/// <summary>A kiln as far as heat goes.</summary>
/// <param name="Chamber">The space inside.</param>
/// <param name="RatedKw">Power on the plate.</param>
/// <param name="Wall">Layers of the wall, from the inside; floor and lid are taken to be alike.</param>
/// <param name="LossFactor">Times all heat that leaves by wall and openings; 1 until it is learnt.</param>
/// <param name="ElementGrowthPercent">How much the elements' resistance has grown since they were new (<see cref="ElementAgeing"/>).</param>
public sealed record KilnHeat(
    Chamber Chamber, double RatedKw, IReadOnlyList<WallLayer> Wall, double LossFactor = 1, double ElementGrowthPercent = 0)
{
    /// <summary>Its vent; null where it has none, or it was never measured.</summary>
    public KilnVent? Vent { get; init; }

    /// <summary>The power the elements give now, kW.</summary>
    public double AvailableKw => RatedKw * ElementAgeing.PowerFactor(ElementGrowthPercent);
}

/// <summary>What goes into the kiln, as far as heat goes.</summary>
/// <param name="WareKg">Dry mass of the ware.</param>
/// <param name="FurnitureKg">Mass of shelves and posts.</param>
/// <param name="Stage">What the ware has been fired to; greenware still holds chemically combined water.</param>
/// <param name="MoisturePercent">Water in the ware, percent of the dry mass.</param>
public sealed record LoadHeat(double WareKg, double FurnitureKg, Stage Stage, double MoisturePercent = 0);

/// <summary>How elements lose power as they age.</summary>
public static class ElementAgeing
{
    /// <summary>Replace elements at about so much more resistance than new. From memory of resistance-wire handbooks.</summary>
    public const double ReplaceAtGrowthPercent = 10;

    /// <summary>The part of the rated power left after the resistance has grown.</summary>
    /// <remarks>Source: Ohm's law at constant voltage. Units: 1. Valid for: growth of 0 or more.</remarks>
    public static double PowerFactor(double growthPercent) => 1 / (1 + growthPercent / 100);

    /// <summary>The growth that a measured full power tells, percent; below 0 where it is more than rated.</summary>
    public static double GrowthPercent(double ratedKw, double measuredKw) => (ratedKw / measuredKw - 1) * 100;

    /// <summary>Firings left until replacement, if resistance goes on growing as it did; null where it has not grown.</summary>
    public static double? FiringsLeft(double growthPercent, int firingsSinceNew) =>
        growthPercent > 0 && firingsSinceNew > 0 ? Math.Max(0, (ReplaceAtGrowthPercent / growthPercent - 1) * firingsSinceNew) : null;
}
