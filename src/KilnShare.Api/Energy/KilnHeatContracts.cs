using System.Text.Json.Serialization;
using FluentValidation;
using KilnShare.Api.Kilns;
using KilnShare.Core.Energy;
using KilnShare.Core.Pieces;

namespace KilnShare.Api.Energy;

/// <summary>A kiln as far as heat goes.</summary>
public sealed record KilnHeatContract
{
    /// <summary>The space inside.</summary>
    public required ChamberContract Chamber { get; init; }

    /// <summary>Power on the plate.</summary>
    /// <example>11.5</example>
    public required double RatedKw { get; init; }

    /// <summary>Layers of the wall, from the inside; floor and lid are taken to be alike.</summary>
    public required IReadOnlyList<WallLayerContract> Wall { get; init; }

    /// <summary>Times all heat that leaves by wall and openings; 1 until it is learnt.</summary>
    /// <example>1.0</example>
    public double LossFactor { get; init; } = 1;

    /// <summary>How much the elements' resistance has grown since they were new, percent.</summary>
    /// <example>0</example>
    public double ElementGrowthPercent { get; init; }

    /// <summary>The vent that draws room air through the chamber; absent: none.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public KilnVentContract? Vent { get; init; }

    /// <summary>In Core's terms.</summary>
    public KilnHeat ToCore() => new(Chamber.ToCore(), RatedKw, [.. Wall.Select(l => l.ToCore())], LossFactor, ElementGrowthPercent) { Vent = Vent?.ToCore() };
}

/// <summary>What goes into the kiln, as far as heat goes.</summary>
public sealed record LoadHeatContract
{
    /// <summary>Dry mass of the ware.</summary>
    /// <example>40</example>
    public required double WareKg { get; init; }

    /// <summary>Mass of shelves and posts.</summary>
    /// <example>25</example>
    public required double FurnitureKg { get; init; }

    /// <summary>What the ware has been fired to before this firing; greenware still holds chemically combined water.</summary>
    /// <example>bisque</example>
    public required Stage Stage { get; init; }

    /// <summary>Water in the ware, percent of the dry mass.</summary>
    /// <example>0</example>
    public double MoisturePercent { get; init; }

    /// <summary>In Core's terms.</summary>
    public LoadHeat ToCore() => new(WareKg, FurnitureKg, Stage, MoisturePercent);
}

internal sealed class KilnHeatValidator : AbstractValidator<KilnHeatContract>
{
    public KilnHeatValidator() => RuleFor(k => k.Chamber).SetValidator(new ChamberValidator());
}
