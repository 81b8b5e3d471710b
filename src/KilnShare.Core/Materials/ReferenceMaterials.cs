using System.Globalization;
using KilnShare.Core.Cones;

namespace KilnShare.Core.Materials;

/// <summary>A generic material to begin from, with where its figures come from.</summary>
/// <param name="Name">Short name.</param>
/// <param name="Material">What is known of it; replace it by your supplier's figures.</param>
/// <param name="Source">Where the figures come from: published, from memory, or common practice.</param>
public sealed record ReferenceEntry<T>(string Name, T Material, string Source);

/// <summary>Generic clay bodies and glazes to copy from, kept as data beside the code.</summary>
public static class ReferenceMaterials
{
    private const char Separator = ';';

    /// <summary>Clay bodies, low fire first.</summary>
    public static IReadOnlyList<ReferenceEntry<ClayBody>> Clays { get; } = Read("reference-clays.csv", c => new ReferenceEntry<ClayBody>(
        c[0],
        new ClayBody(c[0], new ConeRange(Cone.Parse(c[1]), Cone.Parse(c[2]), null))
        {
            BisqueCones = c[3].Length == 0 ? null : new ConeRange(Cone.Parse(c[3]), Cone.Parse(c[4]), null),
            AbsorptionPercent = Number(c[5]),
            ShrinkagePercent = Number(c[6]),
            Expansion = Number(c[7]) is { } ppm ? new Expansion(ppm, null) : null,
        },
        c[8]));

    /// <summary>Glaze bands, low fire first.</summary>
    public static IReadOnlyList<ReferenceEntry<Glaze>> Glazes { get; } = Read("reference-glazes.csv", c => new ReferenceEntry<Glaze>(
        c[0],
        new Glaze(c[0], new ConeRange(Cone.Parse(c[1]), Cone.Parse(c[2]), null))
        {
            Kind = Enum.Parse<GlazeKind>(c[3]),
            Movement = c[4].Length == 0 ? null : Enum.Parse<Movement>(c[4]),
        },
        c[5]));

    private static decimal? Number(string text) => text.Length == 0 ? null : decimal.Parse(text, CultureInfo.InvariantCulture);

    private static List<T> Read<T>(string file, Func<string[], T> row)
    {
        using var stream = typeof(ReferenceMaterials).Assembly.GetManifestResourceStream($"KilnShare.Core.Materials.Data.{file}")
            ?? throw new InvalidOperationException($"There is no {file}.");
        using var reader = new StreamReader(stream);
        var rows = new List<T>();
        reader.ReadLine();
        while (reader.ReadLine() is { } line) rows.Add(row(line.Split(Separator)));
        return rows;
    }
}
