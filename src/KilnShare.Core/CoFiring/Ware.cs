using KilnShare.Core.Cones;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using NodaTime;

namespace KilnShare.Core.CoFiring;

/// <summary>One coat of colour or glaze on a piece.</summary>
/// <param name="Glaze">What it is.</param>
/// <param name="Coats">How many coats.</param>
/// <param name="Where">Where on the piece; <c>inside</c> and <c>outside</c> are understood, anything else is only repeated.</param>
/// <param name="FiredAt">The cone it was fired at; null while it is raw.</param>
public sealed record Layer(Glaze Glaze, int Coats, string? Where, Cone? FiredAt)
{
    /// <summary>How it went on; null where nobody said.</summary>
    public CoatApplication? AppliedBy { get; init; }

    /// <summary>Which batch of the glaze it was, in the maker's words; null where nobody said.</summary>
    public string? Batch { get; init; }

    /// <summary>Not fired yet.</summary>
    public bool IsRaw => FiredAt is null;

    internal bool IsInsideOnly => string.Equals(Where, "inside", StringComparison.OrdinalIgnoreCase);

    internal bool IsOutsideOnly => string.Equals(Where, "outside", StringComparison.OrdinalIgnoreCase);
}

/// <summary>A piece as the co-firing rules see it. Null is "not known", except where a property says what absence means.</summary>
/// <param name="Id">Its identity within the load.</param>
/// <param name="Stage">What it has been fired to.</param>
/// <param name="Clay">Its body.</param>
/// <param name="Layers">Its coats, first one lowest.</param>
public sealed record Ware(string Id, Stage Stage, ClayBody Clay, IReadOnlyList<Layer> Layers)
{
    /// <summary>The cone of its bisque.</summary>
    public Cone? BisquedAt { get; init; }

    /// <summary>Meant to hold food or drink; absent means it is not.</summary>
    public bool? ForFood { get; init; }

    /// <summary>Height from the shelf that is kept free of glaze, mm.</summary>
    public decimal? BareFootMm { get; init; }

    /// <summary>Stands on a catcher wider than its foot; absent means it does not.</summary>
    public bool? OnCatcher { get; init; }

    /// <summary>Stands on stilts; absent means it does not.</summary>
    public bool? OnStilts { get; init; }

    /// <summary>How dry it is; matters for greenware.</summary>
    public Dryness? Dryness { get; init; }

    /// <summary>Since when it has been drying in the open.</summary>
    public Instant? DrySince { get; init; }

    /// <summary>Thickest wall, mm.</summary>
    public decimal? WallMm { get; init; }

    /// <summary>True: declared for one single firing; false: never to be; null: nothing declared.</summary>
    public bool? SingleFire { get; init; }

    /// <summary>Whose it is.</summary>
    public string? Owner { get; init; }

    /// <summary>Made of clay or glaze brought in from outside the studio; absent means it is not.</summary>
    public bool? OutsideMaterial { get; init; }

    /// <summary>A test of these very materials has been fired in this studio; absent means it has not.</summary>
    public bool? Tested { get; init; }

    /// <summary>Where its lid is while it is fired; null where it has none.</summary>
    public Lid? Lid { get; init; }

    /// <summary>Steep walls or undercut relief, over which a coat slides further; absent means it has none.</summary>
    public bool? Steep { get; init; }

    /// <summary>A test tile, which nobody minds losing; absent means it is not.</summary>
    public bool? TestTile { get; init; }

    /// <summary>A laboratory's release figures for this ware.</summary>
    public ReleaseReport? Release { get; init; }

    /// <summary>The firings it still needs, in order.</summary>
    public Route Route => Route.Of(Stage, [.. Layers.Where(layer => layer.IsRaw).Select(layer => layer.Glaze.Kind)], SingleFire);

    internal bool IsForFood => ForFood == true;

    /// <summary>On a catcher, or with twice the usual bare foot: a glaze that melts again and moves does no harm.</summary>
    /// <remarks>Source: common practice, no source; 6 mm is the usual bare foot.</remarks>
    internal bool StandsReadyForRefire => OnCatcher == true || BareFootMm >= 12m;

    internal bool HasRaw(GlazeKind kind)
    {
        foreach (var layer in Layers)
            if (layer.IsRaw && layer.Glaze.Kind == kind) return true;
        return false;
    }

    internal bool HasRawOverglaze => HasRaw(GlazeKind.Lustre) || HasRaw(GlazeKind.Enamel) || HasRaw(GlazeKind.Decal);
}
