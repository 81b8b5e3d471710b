using System.Globalization;
using KilnShare.Core.Cones;

namespace KilnShare.Core.CoFiring;

/// <summary>A cone in words, with its temperature.</summary>
internal static class ConeText
{
    private const string Resource = "KilnShare.Core.Cones.Data.self-supporting.csv";

    private static readonly Dictionary<Cone, string> SelfSupporting = Read();

    /// <summary><c>cone 6 (1222 °C, 2232 °F at 60 °C/h)</c>; of another series than the self-supporting the series instead.</summary>
    /// <remarks>Source: pyrometric cone temperature equivalents, 2016 edition, self-supporting cones at 60 °C/h (108 °F/h).</remarks>
    public static string With(Cone cone, ConeSeries? series = null) => (series ?? ConeSeries.SelfSupporting) switch
    {
        ConeSeries.SelfSupporting => SelfSupporting[cone],
        { } other => $"{Of(other)} cone {cone}",
    };

    /// <summary>The series in words.</summary>
    public static string Of(ConeSeries series) => series switch
    {
        ConeSeries.SelfSupporting => "self-supporting",
        ConeSeries.SelfSupportingIronFree => "iron-free",
        ConeSeries.Large => "large",
        _ => "small",
    };

    private static Dictionary<Cone, string> Read()
    {
        using var stream = typeof(ConeText).Assembly.GetManifestResourceStream(Resource)!;
        using var reader = new StreamReader(stream);
        var rows = reader.ReadToEnd().Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(line => line.TrimEnd('\r').Split(',')).ToArray();
        int cone = Array.IndexOf(rows[0], "cone"), celsius = Array.IndexOf(rows[0], "c_60Cph"), fahrenheit = Array.IndexOf(rows[0], "f_108Fph");
        return rows.Skip(1).ToDictionary(
            row => Cone.Parse(row[cone]),
            row => string.Create(CultureInfo.InvariantCulture, $"cone {row[cone]} ({row[celsius]} °C, {row[fahrenheit]} °F at 60 °C/h)"));
    }
}
