using KilnShare.Core.Common;
using KilnShare.Core.Materials;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Pieces;

/// <summary>How a coat goes on.</summary>
public enum CoatApplication
{
    /// <summary>With a brush.</summary>
    Brushed,

    /// <summary>The ware was dipped.</summary>
    Dipped,

    /// <summary>Poured on or through.</summary>
    Poured,

    /// <summary>With a spray gun or airbrush.</summary>
    Sprayed,
}

/// <summary>One glaze on a piece.</summary>
/// <param name="GlazeId">Which of the studio's glazes.</param>
/// <param name="Coats">How many coats.</param>
/// <param name="Where">Where on the ware, in the maker's words.</param>
/// <param name="GoesOnAt">What the ware must have been fired to before this goes on, where it was written down that way; null: it is on, or <paramref
/// name="GoesOnBefore"/> says when.</param>
/// <param name="GoesOnBefore">The firing of the route before which it goes on; null: it is on, or <paramref name="GoesOnAt"/> says when.</param>
public sealed record PieceLayer(Id<StudioGlaze> GlazeId, int Coats, string? Where, Stage? GoesOnAt = null, RouteFiring? GoesOnBefore = null)
{
    /// <summary>How it went on; null where nobody said.</summary>
    public CoatApplication? AppliedBy { get; init; }

    /// <summary>Which batch of the glaze it was, in the maker's words: the maker's number or an own one; null where nobody said.</summary>
    public string? Batch { get; init; }

    /// <summary>The firing of the route before which it goes on; null: it is on.</summary>
    /// <param name="kind">What sort of coat it is.</param>
    public RouteFiring? BeforeFiring(GlazeKind kind) => GoesOnBefore ?? (GoesOnAt, kind) switch
    {
        (Stage.Bisque, GlazeKind.Underglaze or GlazeKind.Engobe) => RouteFiring.UnderglazeSet,
        (Stage.Bisque, _) => RouteFiring.Glaze,
        (Stage.Glazed, GlazeKind.Lustre or GlazeKind.Enamel or GlazeKind.Decal) => RouteFiring.Overglaze,
        (Stage.Glazed, _) => RouteFiring.Refire,
        _ => null,
    };
}

/// <summary>What a piece is made as. Everything a maker may change until it is booked.</summary>
/// <param name="Name">What it is.</param>
/// <param name="Footprint">Its outline from above, without any gap.</param>
/// <param name="Height">Its height.</param>
/// <param name="ClayId">Its clay body.</param>
public sealed record PieceMaking(string Name, Footprint Footprint, Length Height, Id<StudioClay> ClayId)
{
    /// <summary>The sign under the foot.</summary>
    public string? Mark { get; init; }

    /// <summary>What people call it: its name, and the sign under its foot where it has one.</summary>
    public string Called() => Mark is { } mark ? $"{Name} ({mark})" : Name;

    /// <summary>Mass of one, g; null where not weighed.</summary>
    public decimal? MassG { get; init; }

    /// <summary>Its glazes, in the order they went on.</summary>
    public IReadOnlyList<PieceLayer> Layers { get; init; } = [];

    /// <summary>True when someone is to eat or drink from it.</summary>
    public bool ForFood { get; init; }

    /// <summary>Bare clay above the foot, mm; null where not measured.</summary>
    public decimal? BareFootMm { get; init; }

    /// <summary>True when it stands on a catcher.</summary>
    public bool OnCatcher { get; init; }

    /// <summary>Greatest wall thickness, mm; null where not measured.</summary>
    public decimal? WallMm { get; init; }

    /// <summary>True when it stands on stilts.</summary>
    public bool OnStilts { get; init; }

    /// <summary>True when it is declared for one firing only, false when it is not to be; null: nothing declared.</summary>
    public bool? SingleFire { get; init; }

    /// <summary>True when its clay or glaze was brought in from outside the studio.</summary>
    public bool OutsideMaterial { get; init; }

    /// <summary>True when a test of these very materials has been fired here.</summary>
    public bool Tested { get; init; }

    /// <summary>True for ware made to try something out: tiles, first coats of a glaze. A studio may charge it less.</summary>
    public bool TestWare { get; init; }

    /// <summary>A laboratory's release figures for this ware; null where there are none.</summary>
    public ReleaseReport? Release { get; init; }

    /// <summary>True when it may be turned on the shelf.</summary>
    public bool MayTurn { get; init; } = true;

    /// <summary>Where its lid is while it is fired; null where it has none.</summary>
    public Lid? Lid { get; init; }

    /// <summary>True when steep walls or undercut relief let a coat slide further.</summary>
    public bool Steep { get; init; }

    /// <summary>True when it is a test tile, which nobody minds losing.</summary>
    public bool TestTile { get; init; }
}

/// <summary>Ware as one unit, or several copies alike.</summary>
public sealed class Piece(Id<Studio> studioId, Id<Piece> id, Id<Member> memberId, PieceMaking making, int quantity, Instant createdAt) : IArchivable
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<Piece> Id { get; private set; } = id;

    /// <summary>Whose it is.</summary>
    public Id<Member> MemberId { get; private set; } = memberId;

    /// <summary>What it is made as.</summary>
    public PieceMaking Making { get; set; } = making;

    /// <summary>How many alike; copies are numbered from 0.</summary>
    public int Quantity { get; private set; } = quantity;

    /// <summary>When it was written down.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;

    /// <summary>From when it is no longer listed; null while it is.</summary>
    public Instant? ArchivedAt { get; set; }

    /// <summary>Raised by every edit, of its copies too.</summary>
    public long Version { get; set; } = 1;
}
