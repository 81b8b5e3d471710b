using System.Globalization;
using System.Reflection;

namespace KilnShare.Core.Tests.Cones;

/// <summary>The published tables, read here by a reader of their own, so that the product's reader is checked too.</summary>
internal static class PublishedTable
{
    public sealed record Cell(string Cone, double Rate, double Degrees);

    /// <summary>Cells of the product's embedded table whose column begins so: c_ for °C, f_ for °F.</summary>
    public static IReadOnlyList<Cell> Embedded(string name, string columnStart) =>
        Read(typeof(KilnShare.Core.Cones.Cone).Assembly, $"KilnShare.Core.Cones.Data.{name}.csv", columnStart);

    /// <summary>Cells of a table that is test data only.</summary>
    public static IReadOnlyList<Cell> TestData(string name, string columnStart) =>
        Read(typeof(PublishedTable).Assembly, $"KilnShare.Core.Tests.Cones.Data.{name}.csv", columnStart);

    private static List<Cell> Read(Assembly assembly, string resource, string columnStart)
    {
        using var reader = new StreamReader(assembly.GetManifestResourceStream(resource)!);
        var header = reader.ReadLine()!.Split(',');
        var cells = new List<Cell>();
        while (reader.ReadLine() is { } line)
        {
            var row = line.Split(',');
            var cone = row[Array.IndexOf(header, "cone")];
            for (var i = 0; i < header.Length; i++)
                if (header[i].StartsWith(columnStart, StringComparison.Ordinal) && row[i].Length > 0)
                    cells.Add(new Cell(cone, RateOf(header[i]), double.Parse(row[i], CultureInfo.InvariantCulture)));
        }
        return cells;
    }

    private static double RateOf(string column) =>
        double.Parse(new string([.. column.Where(char.IsAsciiDigit)]), CultureInfo.InvariantCulture);
}
