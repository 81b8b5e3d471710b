using System.Globalization;
using System.Text.Json;

namespace KilnShare.Benchmarks.Loading;

/// <summary>Reads the published instances with their best-known values; null where the folder or file is absent.</summary>
internal sealed class Instances(string folder)
{
    public List<(int N, double Ratio)> EqualDiscs() =>
        [.. Rows("circles-in-circle/equal.csv").Select(r => (Int(r[0]), Number(r[1])))];

    /// <summary>On a regular octagon (half its width is the size) and on half a disc (its radius is), for discs of radius 1.</summary>
    public List<(string Shape, int N, double Size)> EqualDiscsInShapes() =>
        [.. Rows("circles-in-shelf-shapes/equal.csv").Select(r => (r[0], Int(r[1]), Number(r[2])))];

    public List<(string Name, double[] Radii, double BestRadius)> UnequalDiscs()
    {
        var list = Rows("circles-in-circle/contest_r_eq_i.csv")
            .Select(r => ($"r=i {r[0]}", Enumerable.Range(1, Int(r[0])).Select(i => (double)i).ToArray(), Number(r[1]))).ToList();
        foreach (var entry in Json("circles-in-circle/NR.json").EnumerateObject())
            list.Add((
                entry.Name, [.. entry.Value.GetProperty("radii").EnumerateArray().Select(e => e.GetDouble())], entry.Value.GetProperty("best_known_R")
                .GetDouble()));
        return list;
    }

    /// <summary>Rectangles into one circle; the objective is "area" or "num", the best value as published.</summary>
    public List<(string Name, double Radius, (double W, double D)[] Items, bool Turn, bool Count, double Best)> RectanglesInCircle()
    {
        var list = new List<(string, double, (double, double)[], bool, bool, double)>();
        foreach (var file in new[] { "lopez2018_rect1", "lopez2018_rect3", "lopez2018_square2", "bouzid2020_rect100", "bouzid2020_rect200",
            "bouzid2020_square150" })
        {
            var root = Json($"rects-in-circle/{file}.json");
            var items = Pairs(root.GetProperty("items"));
            foreach (var best in root.GetProperty("best_known").EnumerateObject())
            {
                var key = best.Name.Split('|');
                list.Add(($"{file} {best.Name}", root.GetProperty("radii_options")[Int(key[0])].GetDouble(), items, key[1] is "r", key[2] is "num",
                    best.Value.GetProperty("value").GetDouble()));
            }
        }

        return list;
    }

    public List<(string Name, double W, double D, (double W, double D)[] Items, int Best)> RectangleBins() =>
        [.. Json("rects-bin/class1-10.json").EnumerateArray().Select(e => (
            e.GetProperty("name").GetString()!, e.GetProperty("bin")[0].GetDouble(), e.GetProperty("bin")[1].GetDouble(),
            Pairs(e.GetProperty("items")), e.GetProperty("best_oriented").GetInt32()))];

    public List<(string Name, JsonElement Root)> KilnLoads() =>
        [.. Enumerable.Range(1, 10).Select(i => ($"load{i}", Json($"kiln-loads/load{i}.json")))];

    private IEnumerable<string[]> Rows(string file) => File.ReadLines(Path.Combine(folder, file)).Skip(1).Select(l => l.Split(','));

    private JsonElement Json(string file) => JsonDocument.Parse(File.ReadAllText(Path.Combine(folder, file))).RootElement;

    private static (double, double)[] Pairs(JsonElement items) => [.. items.EnumerateArray().Select(e => (e[0].GetDouble(), e[1].GetDouble()))];

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    private static int Int(string text) => int.Parse(text, CultureInfo.InvariantCulture);
}
