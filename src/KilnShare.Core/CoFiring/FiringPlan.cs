using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using NodaTime;

namespace KilnShare.Core.CoFiring;

/// <summary>The firing that ware is checked against.</summary>
/// <param name="Kind">What it is to do.</param>
/// <param name="Cone">How hot.</param>
/// <param name="Series">The series <paramref name="Cone"/> belongs to.</param>
/// <param name="Atmosphere">What burns in the kiln, and with how much air.</param>
public sealed record FiringPlan(FiringKind Kind, Cone Cone, ConeSeries Series, Atmosphere Atmosphere)
{
    /// <summary>The hottest cone the kiln's maker allows, in the same series.</summary>
    public Cone? KilnRatedCone { get; init; }

    /// <summary>When it is to be lit.</summary>
    public Instant? At { get; init; }

    /// <summary>True when the programme begins as slowly as a bisque; null: as usual for its kind.</summary>
    public bool? BisqueStart { get; init; }

    /// <summary>What the kiln is to do; null where no schedule is named.</summary>
    public FiringSchedule? Schedule { get; init; }

    /// <summary>A technician has said that the cone is meant as written, and not the one that is the same but for the leading zero.</summary>
    public bool ConeIsMeant { get; init; }

    /// <summary>The cones of this kiln's earlier firings of this kind, the latest first; empty where none are known.</summary>
    public IReadOnlyList<Cone> EarlierCones { get; init; } = [];

    /// <summary>What the studio itself permits; null where it has no rules of its own.</summary>
    public HouseRules? HouseRules { get; init; }

    /// <summary>What the kiln's levels usually do, learnt from its witness cones; empty where nothing has been learnt.</summary>
    public IReadOnlyList<WitnessHabit> Levels { get; init; } = [];

    /// <summary>Body and glaze are to be matured by it.</summary>
    internal bool Matures => Kind is FiringKind.Glaze or FiringKind.SingleFire;

    /// <summary>After it the surface is what food touches: what it gives off is asked here, and not before.</summary>
    internal bool FinishesSurface => Matures || Kind == FiringKind.Overglaze;

    /// <summary>The cones the kiln is rated for.</summary>
    internal ConeSpan KilnSpan => KilnRatedCone is { } rated ? new ConeSpan(0, rated.Order) : ConeSpan.All;

    internal bool StartsSlowly => BisqueStart ?? Kind is FiringKind.Bisque or FiringKind.SingleFire;
}
