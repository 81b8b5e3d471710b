using System.Text.Json.Serialization;
using KilnShare.Api.Cones;
using KilnShare.Api.Loading;
using KilnShare.Api.Pieces;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Energy;
using KilnShare.Core.Kilns;

namespace KilnShare.Api.Kilns;

/// <summary>The space inside a kiln. Coordinates run from the centre of its footprint: x to the right, y away from the loader, z up from the floor.</summary>
public sealed record ChamberContract
{
    /// <summary>Its outline inside the wall.</summary>
    public required ShapeContract Footprint { get; init; }

    /// <summary>From floor to lid.</summary>
    /// <example>685</example>
    public required Length HeightMm { get; init; }

    /// <summary>No ware nearer than this to the wall; 25 is usual.</summary>
    /// <example>25</example>
    public Length WallClearanceMm { get; init; } = Length.OfMm(25);

    /// <summary>No ware nearer than this to the lid; 12 at the least is usual.</summary>
    /// <example>12</example>
    public Length LidClearanceMm { get; init; } = Length.OfMm(12);

    /// <summary>In Core's terms.</summary>
    public Chamber ToCore() => new(Footprint.ToCore(), HeightMm, WallClearanceMm, LidClearanceMm);

    /// <summary>The contract of a chamber.</summary>
    public static ChamberContract Of(Chamber chamber) => new()
    {
        Footprint = ShapeContract.Of(chamber.Footprint),
        HeightMm = chamber.Height,
        WallClearanceMm = chamber.WallClearance,
        LidClearanceMm = chamber.LidClearance,
    };
}

/// <summary>Shelves of one kind.</summary>
public sealed record ShelfContract
{
    /// <summary>A short name within the kiln.</summary>
    /// <example>full</example>
    public required string Id { get; init; }

    /// <summary>Its outline.</summary>
    public required ShapeContract Footprint { get; init; }

    /// <summary>How thick.</summary>
    /// <example>19</example>
    public required Length ThicknessMm { get; init; }

    /// <summary>How many there are.</summary>
    /// <example>4</example>
    public required int Count { get; init; }

    /// <summary>Mass of one, g; absent: footprint × thickness × 2,000 kg/m³.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public decimal? MassG { get; init; }
}

/// <summary>Posts of one length.</summary>
public sealed record PostContract
{
    /// <summary>Length of the post.</summary>
    /// <example>100</example>
    public required Length HeightMm { get; init; }

    /// <summary>How many there are.</summary>
    /// <example>12</example>
    public required int Count { get; init; }
}

/// <summary>Shelves and posts.</summary>
public sealed record FurnitureContract
{
    /// <summary>Kinds of shelf.</summary>
    public required IReadOnlyList<ShelfContract> Shelves { get; init; }

    /// <summary>stock: shelves stand on posts that exist; any: clear heights are free (calculations only).</summary>
    /// <example>stock</example>
    public PostHeights PostHeights { get; init; } = PostHeights.Stock;

    /// <summary>Lengths of post.</summary>
    public IReadOnlyList<PostContract> Posts { get; init; } = [];

    /// <summary>Diameter of every post; 0 with postHeights any: they take no room.</summary>
    /// <example>38</example>
    public Length PostDiameterMm { get; init; } = Length.OfMm(38);

    /// <summary>A post's centre is at least so far inside the edge of the shelf it carries.</summary>
    /// <example>25</example>
    public Length PostInsetMm { get; init; } = Length.OfMm(25);

    /// <summary>In Core's terms.</summary>
    public Furniture ToCore() => new(
        [.. Shelves.Select(s => new ShelfStock(s.Id, s.Footprint.ToCore(), s.ThicknessMm, s.Count, s.MassG))],
        PostHeights, [.. Posts.Select(p => new PostStock(p.HeightMm, p.Count))], PostDiameterMm, PostInsetMm);

    /// <summary>The contract of furniture.</summary>
    public static FurnitureContract Of(Furniture furniture) => new()
    {
        Shelves = [.. furniture.Shelves.Select(
            s => new ShelfContract { Id = s.Id, Footprint = ShapeContract.Of(s.Footprint), ThicknessMm = s.Thickness, Count = s.Count, MassG = s.MassG })],
        PostHeights = furniture.PostHeights,
        Posts = [.. furniture.Posts.Select(p => new PostContract { HeightMm = p.Height, Count = p.Count })],
        PostDiameterMm = furniture.PostDiameter,
        PostInsetMm = furniture.PostInset,
    };
}

/// <summary>Distances kept.</summary>
public sealed record SpacingContract
{
    /// <summary>Least distance between two pieces, from a piece to a post, and to a keep-out.</summary>
    /// <example>6</example>
    public Length GapMm { get; init; } = Length.OfMm(6);

    /// <summary>From the top of a piece to whatever is above it.</summary>
    /// <example>12</example>
    public Length HeadroomMm { get; init; } = Length.OfMm(12);

    /// <summary>Between shelves at one height.</summary>
    /// <example>3</example>
    public Length ShelfGapMm { get; init; } = Length.OfMm(3);
}

/// <summary>A vent that draws room air through the chamber.</summary>
public sealed record KilnVentContract
{
    /// <summary>Air through the chamber, m³/h as it enters; what the fan takes in beside the kiln does not count.</summary>
    /// <example>4</example>
    public required double M3PerHour { get; init; }

    /// <summary>It is shut when the kiln first reaches this, °C; absent: it stays open.</summary>
    /// <example>700</example>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public double? UntilC { get; init; }

    /// <summary>In Core's terms.</summary>
    public KilnVent ToCore() => new(M3PerHour, UntilC);

    /// <summary>The contract of a vent.</summary>
    public static KilnVentContract? Of(KilnVent? vent) => vent is null ? null : new() { M3PerHour = vent.M3PerHour, UntilC = vent.UntilC };
}

/// <summary>A kiln as it is written down.</summary>
public record KilnBody
{
    /// <summary>What the studio calls it.</summary>
    /// <example>Front-loader by the window</example>
    public required string Name { get; init; }

    /// <summary>The space inside.</summary>
    public required ChamberContract Chamber { get; init; }

    /// <summary>Its shelves and posts.</summary>
    public required FurnitureContract Furniture { get; init; }

    /// <summary>Distances kept in it.</summary>
    public SpacingContract Spacing { get; init; } = new();

    /// <summary>Rated power, kW.</summary>
    /// <example>11.5</example>
    public decimal? RatedKw { get; init; }

    /// <summary>The hottest cone its maker rates it for.</summary>
    /// <example>10</example>
    public Cone? RatedCone { get; init; }

    /// <summary>Wear charged for each firing, minor units.</summary>
    /// <example>500</example>
    public long WearMinor { get; init; }

    /// <summary>Greatest load of ware, g.</summary>
    public decimal? MassLimitG { get; init; }

    /// <summary>Layers of its wall, from the inside; with ratedKw, energy and hours can be forecast.</summary>
    public IReadOnlyList<WallLayerContract> Wall { get; init; } = [];

    /// <summary>Room that no load may use: the thermocouple's, that of witness cones before the spy hole. From the centre of the chamber.</summary>
    public IReadOnlyList<KeepOutContract> KeepOuts { get; init; } = [];

    /// <summary>The vent that draws room air through the chamber; absent: none, or never measured.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public KilnVentContract? Vent { get; init; }

    /// <summary>Times all heat that leaves by wall and openings; 1 until it is learnt.</summary>
    /// <example>1</example>
    public double LossFactor { get; init; } = 1;

    /// <summary>The tariff its electricity is billed by; absent: the studio's flat price.</summary>
    public Guid? TariffId { get; init; }

    /// <summary>In Core's terms, without the furniture.</summary>
    public KilnMaking ToCore() => new(Name, Chamber.ToCore(), new KilnSpacing(Spacing.GapMm, Spacing.HeadroomMm, Spacing.ShelfGapMm))
    {
        RatedKw = RatedKw,
        RatedCone = RatedCone,
        WearMinor = WearMinor,
        MassLimitG = MassLimitG,
        Wall = [.. Wall.Select(l => l.ToCore())],
        KeepOuts = [.. KeepOuts.Select(k => k.ToCore())],
        Vent = Vent?.ToCore(),
        LossFactor = LossFactor,
    };
}

/// <summary>A kiln of the studio.</summary>
public sealed record KilnAnswer : KilnBody
{
    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>Raised by every edit; also the ETag.</summary>
    public required long Version { get; init; }

    /// <summary>The hottest cone with its temperature, self-supporting; null where it is not known.</summary>
    public required ConeEquivalentContract? RatedConeEquivalent { get; init; }

    /// <summary>Why it may not be used now; null while it may.</summary>
    public required string? OutOfServiceReason { get; init; }

    /// <summary>The answer for a kiln.</summary>
    public static KilnAnswer Of(Kiln kiln) => new()
    {
        Id = kiln.Id.Value,
        Version = kiln.Version,
        RatedConeEquivalent = kiln.Making.RatedCone is { } rated ? ConeEquivalentContract.At(ConeSeries.SelfSupporting, rated) : null,
        OutOfServiceReason = kiln.OutOfServiceReason,
        Name = kiln.Making.Name,
        Chamber = ChamberContract.Of(kiln.Making.Chamber),
        Furniture = FurnitureContract.Of(kiln.Furniture),
        Spacing = new SpacingContract { GapMm = kiln.Making.Spacing.Gap, HeadroomMm = kiln.Making.Spacing.Headroom, ShelfGapMm = kiln.Making.Spacing.ShelfGap },
        RatedKw = kiln.Making.RatedKw,
        RatedCone = kiln.Making.RatedCone,
        WearMinor = kiln.Making.WearMinor,
        MassLimitG = kiln.Making.MassLimitG,
        Wall = [.. kiln.Making.Wall.Select(WallLayerContract.Of)],
        KeepOuts = [.. kiln.Making.KeepOuts.Select(KeepOutContract.Of)],
        Vent = KilnVentContract.Of(kiln.Making.Vent),
        LossFactor = kiln.Making.LossFactor,
        TariffId = kiln.TariffId?.Value,
    };
}
