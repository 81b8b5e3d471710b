using KilnShare.Api.Common;
using KilnShare.Api.Pieces;
using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Materials;

namespace KilnShare.Api.Materials;

/// <summary>A generic clay body to copy from.</summary>
public sealed record ReferenceClay
{
    /// <summary>Post it to the studio's clays with your supplier's figures put in.</summary>
    public required ClayContract Clay { get; init; }

    /// <summary>Where its figures come from.</summary>
    /// <example>common practice, no source</example>
    public required string Source { get; init; }
}

/// <summary>A generic glaze to copy from.</summary>
public sealed record ReferenceGlaze
{
    /// <summary>Post it to the studio's glazes with your supplier's figures put in.</summary>
    public required GlazeContract Glaze { get; init; }

    /// <summary>Where its figures come from.</summary>
    /// <example>common practice, no source</example>
    public required string Source { get; init; }
}

/// <summary>A usual size of shelf.</summary>
public sealed record ReferenceShelfContract
{
    /// <summary>Short name.</summary>
    /// <example>round 21 in</example>
    public required string Name { get; init; }

    /// <summary>Its outline.</summary>
    public required ShapeContract Footprint { get; init; }

    /// <summary>Usual thickness of a shelf of that span.</summary>
    /// <example>19</example>
    public required Length ThicknessMm { get; init; }

    /// <summary>Where the figures come from.</summary>
    public required string Source { get; init; }
}

/// <summary>A usual length of post.</summary>
public sealed record ReferencePostContract
{
    /// <summary>Short name.</summary>
    /// <example>4 in post</example>
    public required string Name { get; init; }

    /// <summary>Its length.</summary>
    /// <example>101.6</example>
    public required Length HeightMm { get; init; }

    /// <summary>Where the figure comes from.</summary>
    public required string Source { get; init; }
}

/// <summary>Usual sizes of kiln furniture.</summary>
public sealed record ReferenceFurnitureAnswer
{
    /// <summary>Shelves.</summary>
    public required IReadOnlyList<ReferenceShelfContract> Shelves { get; init; }

    /// <summary>Posts.</summary>
    public required IReadOnlyList<ReferencePostContract> Posts { get; init; }
}

/// <summary>Data to copy from when a studio begins.</summary>
public static class ReferenceEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapReference(this RouteGroupBuilder v1)
    {
        var reference = v1.MapGroup("/reference").WithTags("Reference");
        reference.MapGet("/clays", Clays).WithName("listReferenceClays").Answers<Page<ReferenceClay>>();
        reference.MapGet("/glazes", Glazes).WithName("listReferenceGlazes").Answers<Page<ReferenceGlaze>>();
        reference.MapGet("/furniture", Furniture).WithName("listReferenceFurniture").Answers<ReferenceFurnitureAnswer>();
    }

    /// <summary>List generic clay bodies to copy from</summary>
    /// <remarks>Bands and published figures, each with its source. A band is no promise: your supplier's sheet counts.</remarks>
    private static IResult Clays() => TypedResults.Ok(new Page<ReferenceClay>
    {
        Items = [.. ReferenceMaterials.Clays.Select(c => new ReferenceClay { Clay = ClayContract.Of(c.Material), Source = c.Source })],
        Next = null,
    });

    /// <summary>List generic glazes to copy from</summary>
    /// <remarks>Bands, each with its source. A band is no promise: your supplier's sheet counts.</remarks>
    private static IResult Glazes() => TypedResults.Ok(new Page<ReferenceGlaze>
    {
        Items = [.. ReferenceMaterials.Glazes.Select(g => new ReferenceGlaze { Glaze = GlazeContract.Of(g.Material), Source = g.Source })],
        Next = null,
    });

    /// <summary>List usual sizes of shelves and posts to copy from</summary>
    /// <remarks>Measure your own before you plan with them.</remarks>
    private static IResult Furniture() => TypedResults.Ok(new ReferenceFurnitureAnswer
    {
        Shelves = [.. ReferenceFurniture.Shelves.Select(s => new ReferenceShelfContract
        {
            Name = s.Name,
            Footprint = ShapeContract.Of(s.Footprint),
            ThicknessMm = s.Thickness,
            Source = s.Source,
        })],
        Posts = [.. ReferenceFurniture.Posts.Select(p => new ReferencePostContract { Name = p.Name, HeightMm = p.Height, Source = p.Source })],
    });
}
