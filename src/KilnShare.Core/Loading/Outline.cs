using KilnShare.Core.Common;
using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading;

/// <summary>The outline of a footprint in its place, as corners for drawing: arcs are cut into short chords.</summary>
/// <param name="Corners">The corners anticlockwise, mm.</param>
/// <remarks>Valid for: pictures. Accuracy: chords leave an arc by less than 0.15 % of its radius; whether things fit is <see cref="LoadChecks"/>'
/// word.</remarks>
public sealed record Outline(IReadOnlyList<(double X, double Y)> Corners)
{
    private const int ChordsOfFullTurn = 72;
    private const double MicrometresPerMm = 1000;

    /// <summary>The footprint with its origin there, turned anticlockwise by so many thousandths of a degree.</summary>
    public static Outline Of(Footprint footprint, Length x, Length y, int rotationThousandths)
    {
        var (cos, sin) = Turning.Of(rotationThousandths);
        return new Outline([.. Upright(footprint).Select(p => (
            (x.Micrometres + (cos * p.X) - (sin * p.Y)) / MicrometresPerMm,
            (y.Micrometres + (sin * p.X) + (cos * p.Y)) / MicrometresPerMm))]);
    }

    private static IReadOnlyList<(double X, double Y)> Upright(Footprint footprint) => footprint switch
    {
        Footprint.Circle circle => Arc(circle.Diameter.Micrometres / 2.0, -Math.PI, ChordsOfFullTurn, closed: false),
        Footprint.HalfCircle half => Arc(half.Diameter.Micrometres / 2.0, -Math.PI / 2, ChordsOfFullTurn / 2, closed: true),
        _ => Shape.Corners(footprint),
    };

    private static IReadOnlyList<(double X, double Y)> Arc(double radius, double from, int chords, bool closed) =>
        [.. Enumerable.Range(0, closed ? chords + 1 : chords).Select(i =>
        {
            var (cos, sin) = Turning.OfRadians(from + (i * 2 * Math.PI / ChordsOfFullTurn));
            return (radius * cos, radius * sin);
        })];
}
