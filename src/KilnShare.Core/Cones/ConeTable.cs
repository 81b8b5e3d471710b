using System.Globalization;

namespace KilnShare.Core.Cones;

/// <summary>What the maker tabulates for one cone: at which rates, and at which temperature it is down.</summary>
/// <param name="Cone">The cone.</param>
/// <param name="RatesCPerHour">Rates over the last 100 °C of heating, rising, °C/h.</param>
/// <param name="Celsius">Temperature of the end point at each rate, °C.</param>
internal sealed record ConeRow(Cone Cone, double[] RatesCPerHour, double[] Celsius)
{
    /// <summary>A cone heated faster is down at a higher temperature; a row that says otherwise is a misprint.</summary>
    public bool IsMisprint
    {
        get
        {
            for (var i = 1; i < Celsius.Length; i++)
                if (Celsius[i] <= Celsius[i - 1])
                    return true;
            return false;
        }
    }
}

/// <summary>One series of the maker's table, 2016 edition, as embedded in the assembly.</summary>
/// <remarks>Source: pyrometric cone temperature equivalents, the cone maker's published table, edition of 2016.</remarks>
internal sealed class ConeTable
{
    private const string RateColumnStart = "c_";
    private const string RateColumnEnd = "Cph";

    private static readonly ConeTable[] Tables = [.. Enum.GetValues<ConeSeries>().Select(Read)];

    private readonly ConeRow?[] rows;

    private ConeTable(ConeSeries series, ConeRow?[] rows)
    {
        Series = series;
        this.rows = rows;
        Rows = [.. rows.OfType<ConeRow>().Where(row => !row.IsMisprint)];
        RatesCPerHour = [.. Rows.SelectMany(row => row.RatesCPerHour).Distinct().Order()];
    }

    /// <summary>The edition of the maker's table; every embedded series is of the same.</summary>
    public string Edition { get; } = "2016";

    /// <summary>Which series.</summary>
    public ConeSeries Series { get; }

    /// <summary>The trustworthy rows, cold to hot.</summary>
    public IReadOnlyList<ConeRow> Rows { get; }

    /// <summary>Every rate the series is tabulated at, rising, °C/h.</summary>
    public IReadOnlyList<double> RatesCPerHour { get; }

    /// <summary>The table of a series.</summary>
    public static ConeTable Of(ConeSeries series) => Tables[(int)series];

    /// <summary>The row of a cone, a misprinted one too; null where the series has none.</summary>
    public ConeRow? RowOf(Cone cone) => rows[cone.Order];

    private static ConeTable Read(ConeSeries series)
    {
        var name = series switch
        {
            ConeSeries.SelfSupporting => "self-supporting",
            ConeSeries.SelfSupportingIronFree => "self-supporting-iron-free",
            ConeSeries.Large => "large",
            ConeSeries.Small => "small",
            _ => throw new ArgumentOutOfRangeException(nameof(series)),
        };
        using var stream = typeof(ConeTable).Assembly.GetManifestResourceStream($"KilnShare.Core.Cones.Data.{name}.csv")
            ?? throw new InvalidOperationException($"The table {name} is not embedded.");
        using var reader = new StreamReader(stream);
        return Parse(series, reader.ReadToEnd());
    }

    /// <summary>Reads a table whose columns <c>c_60Cph</c> and alike hold the temperatures; other columns are left alone.</summary>
    internal static ConeTable Parse(ConeSeries series, string csv)
    {
        var lines = csv.Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        var header = lines[0].Split(',');
        var nameColumn = Array.IndexOf(header, "cone");
        var rateColumns = new List<(int Column, double Rate)>();
        for (var i = 0; i < header.Length; i++)
            if (header[i].StartsWith(RateColumnStart, StringComparison.Ordinal) && header[i].EndsWith(RateColumnEnd, StringComparison.Ordinal))
                rateColumns.Add((i, Number(header[i][RateColumnStart.Length..^RateColumnEnd.Length])));

        var byOrder = new ConeRow?[Cone.All.Count];
        foreach (var line in lines.Skip(1))
        {
            var cells = line.Split(',');
            var cone = Cone.Parse(cells[nameColumn]);
            var filled = rateColumns.Where(c => cells[c.Column].Length > 0).ToArray();
            byOrder[cone.Order] = new ConeRow(cone, [.. filled.Select(c => c.Rate)], [.. filled.Select(c => Number(cells[c.Column]))]);
        }
        return new ConeTable(series, byOrder);
    }

    private static double Number(string text) => double.Parse(text, NumberStyles.Float, CultureInfo.InvariantCulture);
}
