using System.Text.Json.Serialization;
using FluentValidation;
using KilnShare.Core.Common;
using KilnShare.Core.Pieces;

namespace KilnShare.Api.Pieces;

/// <summary>Which outline it is.</summary>
public enum ShapeKind
{
    /// <summary>Needs diameterMm.</summary>
    Circle,

    /// <summary>Needs widthMm (along x) and depthMm (along y).</summary>
    Rectangle,

    /// <summary>Needs acrossFlatsMm; two flats lie parallel to x.</summary>
    Octagon,

    /// <summary>Needs diameterMm of the full disc; the flat side lies on the y axis, the body toward +x.</summary>
    HalfCircle,

    /// <summary>Needs pointsMm: 3 to 64 corners, anticlockwise, simple, convex or not.</summary>
    Polygon,
}

/// <summary>An outline seen from above, about its own origin, in millimetres with three decimals at most.</summary>
public sealed record ShapeContract
{
    /// <summary>Which outline; it says which of the other fields are needed.</summary>
    /// <example>circle</example>
    public required ShapeKind Kind { get; init; }

    /// <summary>Diameter of a circle, or of the full disc of a half circle.</summary>
    /// <example>90</example>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Length? DiameterMm { get; init; }

    /// <summary>Width of a rectangle, along x.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Length? WidthMm { get; init; }

    /// <summary>Depth of a rectangle, along y.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Length? DepthMm { get; init; }

    /// <summary>From flat to opposite flat of an octagon.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Length? AcrossFlatsMm { get; init; }

    /// <summary>Corners of a polygon, each [x, y].</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<IReadOnlyList<Length>>? PointsMm { get; init; }

    /// <summary>The outline in Core's terms; validated before.</summary>
    public Footprint ToCore() => Kind switch
    {
        ShapeKind.Circle => new Footprint.Circle(DiameterMm!.Value),
        ShapeKind.Rectangle => new Footprint.Rectangle(WidthMm!.Value, DepthMm!.Value),
        ShapeKind.Octagon => new Footprint.Octagon(AcrossFlatsMm!.Value),
        ShapeKind.HalfCircle => new Footprint.HalfCircle(DiameterMm!.Value),
        _ => new Footprint.Polygon([.. PointsMm!.Select(p => new PlanPoint(p[0].Micrometres, p[1].Micrometres))]),
    };

    /// <summary>The contract of an outline.</summary>
    public static ShapeContract Of(Footprint footprint) => footprint switch
    {
        Footprint.Circle c => new() { Kind = ShapeKind.Circle, DiameterMm = c.Diameter },
        Footprint.Rectangle r => new() { Kind = ShapeKind.Rectangle, WidthMm = r.Width, DepthMm = r.Depth },
        Footprint.Octagon o => new() { Kind = ShapeKind.Octagon, AcrossFlatsMm = o.AcrossFlats },
        Footprint.HalfCircle h => new() { Kind = ShapeKind.HalfCircle, DiameterMm = h.Diameter },
        Footprint.Polygon p => new() { Kind = ShapeKind.Polygon, PointsMm = [.. p.Points.Select(c => (Length[])[new(c.X), new(c.Y)])] },
        _ => throw new ArgumentOutOfRangeException(nameof(footprint)),
    };
}

internal sealed class ShapeValidator : AbstractValidator<ShapeContract>
{
    private const int FewestPoints = 3;
    private const int MostPoints = 64;

    public ShapeValidator()
    {
        Side(s => s.DiameterMm, ShapeKind.Circle, ShapeKind.HalfCircle);
        Side(s => s.WidthMm, ShapeKind.Rectangle);
        Side(s => s.DepthMm, ShapeKind.Rectangle);
        Side(s => s.AcrossFlatsMm, ShapeKind.Octagon);
        RuleFor(s => s.PointsMm).Must((shape, points) => points is not null == (shape.Kind == ShapeKind.Polygon))
            .WithMessage("Corners belong to a polygon, and a polygon needs them.");
        RuleFor(s => s.PointsMm).Must(points => points is null || (points.Count is >= FewestPoints and <= MostPoints && points.All(IsPoint)))
            .WithMessage($"Takes {FewestPoints} to {MostPoints} corners, each [x, y] within {PieceLimits.MaxSide}.");
    }

    private static bool IsPoint(IReadOnlyList<Length>? point) =>
        point is { Count: 2 } && point.All(c => c <= PieceLimits.MaxSide && c >= Length.Zero - PieceLimits.MaxSide);

    private void Side(System.Linq.Expressions.Expression<Func<ShapeContract, Length?>> side, params ShapeKind[] kinds)
    {
        RuleFor(side).Must((shape, length) => length is not null == kinds.Contains(shape.Kind))
            .WithMessage(shape => $"A {EnumName(shape.Kind)} {(kinds.Contains(shape.Kind) ? "needs" : "does not take")} this field.");
        RuleFor(side).Must(length => length is null || (length > Length.Zero && length <= PieceLimits.MaxSide))
            .WithMessage($"Takes a length above 0 and up to {PieceLimits.MaxSide}.");
    }

    private static string EnumName(ShapeKind kind) => Common.EnumWord<ShapeKind>.Of(kind);
}
