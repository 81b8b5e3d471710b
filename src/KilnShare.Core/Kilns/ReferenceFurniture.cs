using System.Globalization;
using KilnShare.Core.Common;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Kilns;

/// <summary>A usual size of shelf, with where it comes from.</summary>
/// <param name="Name">Short name.</param>
/// <param name="Footprint">Its outline.</param>
/// <param name="Thickness">Usual thickness of a shelf of that span.</param>
/// <param name="Source">Where the figures come from.</param>
public sealed record ReferenceShelf(string Name, Footprint Footprint, Length Thickness, string Source);

/// <summary>A usual length of post, with where it comes from.</summary>
/// <param name="Name">Short name.</param>
/// <param name="Height">Its length.</param>
/// <param name="Source">Where the figure comes from.</param>
public sealed record ReferencePost(string Name, Length Height, string Source);

/// <summary>Usual sizes of shelves and posts, to copy from; measure your own before you plan with them.</summary>
public static class ReferenceFurniture
{
    private const decimal MmPerInch = 25.4m; // exact: the international inch
    private const decimal ThinSpanInch = 20m; // "12–16 mm up to about 500 mm span, 19–25 beyond": common practice, no source
    private static readonly Length ThinMm = Length.OfMm(16);
    private static readonly Length ThickMm = Length.OfMm(19);

    /// <summary>Shelves: round, half round, octagonal, rectangular.</summary>
    public static IReadOnlyList<ReferenceShelf> Shelves { get; } = [.. Read("shelf").Select(ShelfOf)];

    /// <summary>Posts, the shortest first.</summary>
    public static IReadOnlyList<ReferencePost> Posts { get; } =
        [.. Read("post").Select(c => new ReferencePost(c[2] + " in post", Inches(c[2]), c[4]))];

    private static ReferenceShelf ShelfOf(string[] c)
    {
        var (first, second) = (Inches(c[2]), c[3].Length == 0 ? default : Inches(c[3]));
        Footprint outline = c[1] switch
        {
            "circle" => new Footprint.Circle(first),
            "halfCircle" => new Footprint.HalfCircle(first),
            "octagon" => new Footprint.Octagon(first),
            _ => new Footprint.Rectangle(second, first),
        };
        var words = c[1] switch { "circle" => "round", "halfCircle" => "half round", _ => c[1] };
        var thickness = Math.Max(Number(c[2]), c[3].Length == 0 ? 0 : Number(c[3])) <= ThinSpanInch ? ThinMm : ThickMm;
        return new ReferenceShelf($"{words} {c[2]}{(c[3].Length == 0 ? "" : " × " + c[3])} in", outline, thickness, c[4]);
    }

    private static Length Inches(string inches) => new((long)decimal.Round(Number(inches) * MmPerInch * 1000m));

    private static decimal Number(string text) => decimal.Parse(text, CultureInfo.InvariantCulture);

    private static IEnumerable<string[]> Read(string what)
    {
        using var stream = typeof(ReferenceFurniture).Assembly.GetManifestResourceStream("KilnShare.Core.Kilns.Data.reference-furniture.csv")
            ?? throw new InvalidOperationException("There is no reference-furniture.csv.");
        using var reader = new StreamReader(stream);
        while (reader.ReadLine() is { } line)
        {
            var columns = line.Split(';');
            if (columns[0] == what) yield return columns;
        }
    }
}
