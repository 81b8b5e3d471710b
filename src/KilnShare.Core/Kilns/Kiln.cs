using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Energy;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Kilns;

/// <summary>Distances kept between pieces, above them, and between shelves at one height.</summary>
/// <param name="Gap">Least distance between two pieces, and from a piece to a post or keep-out.</param>
/// <param name="Headroom">From the top of a piece to whatever is above it.</param>
/// <param name="ShelfGap">Between shelves at one height.</param>
public sealed record KilnSpacing(Length Gap, Length Headroom, Length ShelfGap);

/// <summary>What a studio reads off a kiln's plate, measures with a tape and keeps beside it.</summary>
/// <param name="Name">What the studio calls it.</param>
/// <param name="Chamber">The space inside.</param>
/// <param name="Spacing">The distances kept in it.</param>
public sealed record KilnMaking(string Name, Chamber Chamber, KilnSpacing Spacing)
{
    /// <summary>Rated power, kW; null where not known.</summary>
    public decimal? RatedKw { get; init; }

    /// <summary>The hottest cone its maker rates it for; null where not known.</summary>
    public Cone? RatedCone { get; init; }

    /// <summary>Wear charged for each firing, minor units.</summary>
    public long WearMinor { get; init; }

    /// <summary>Greatest load of ware, g; null: no limit.</summary>
    public decimal? MassLimitG { get; init; }

    /// <summary>Layers of its wall, from the inside; empty where not known.</summary>
    public IReadOnlyList<WallLayer> Wall { get; init; } = [];

    /// <summary>Room in it that no load may use: its thermocouple's, that of witness cones.</summary>
    public IReadOnlyList<KeepOut> KeepOuts { get; init; } = [];

    /// <summary>The vent that draws air through it; null where it has none, or it was never measured.</summary>
    public KilnVent? Vent { get; init; }

    /// <summary>Times all heat that leaves by wall and openings; 1 until it is learnt.</summary>
    public double LossFactor { get; init; } = 1;
}

/// <summary>A kiln of a studio with its furniture.</summary>
public sealed class Kiln(Id<Studio> studioId, Id<Kiln> id, KilnMaking making, Furniture furniture, Instant createdAt) : IArchivable
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<Kiln> Id { get; private set; } = id;

    /// <summary>What is known of it.</summary>
    public KilnMaking Making { get; set; } = making;

    /// <summary>Its shelves and posts.</summary>
    public Furniture Furniture { get; set; } = furniture;

    /// <summary>Why it may not be used now; null while it may.</summary>
    public string? OutOfServiceReason { get; set; }

    /// <summary>The tariff its electricity is billed by; null: the studio's flat price.</summary>
    public Id<StudioTariff>? TariffId { get; set; }

    /// <summary>When it was written down.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;

    /// <summary>From when it is no longer used; null while it is.</summary>
    public Instant? ArchivedAt { get; set; }

    /// <summary>Raised by every edit, of its furniture too.</summary>
    public long Version { get; set; } = 1;
}
