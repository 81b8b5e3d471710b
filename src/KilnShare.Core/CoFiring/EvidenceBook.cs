using KilnShare.Core.Cones;
using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring;

/// <summary>A studio's evidence, by what it is of. One firing proves nothing: it takes two, on two dates.</summary>
internal sealed class EvidenceBook
{
    private const int LeastFirings = 2;

    private readonly Dictionary<Key, EvidenceFiring[]> firings;

    public EvidenceBook(IReadOnlyList<Evidence> evidence) => firings = evidence
        .GroupBy(one => new Key(one.Clay.ToUpperInvariant(), one.Glaze.ToUpperInvariant(), one.Coats, one.Cone, one.Atmosphere, one.Series))
        .ToDictionary(same => same.Key, same => same.SelectMany(one => one.Firings).ToArray());

    public static EvidenceBook None { get; } = new([]);

    /// <summary>How this layer on this clay came out of firings like this one.</summary>
    public EvidenceFiring[] Of(FiringPlan firing, Ware ware, Layer layer) => firings.Count == 0 ? [] : firings.GetValueOrDefault(
        new Key(
            ware.Clay.Name.ToUpperInvariant(), layer.Glaze.Name.ToUpperInvariant(), layer.Coats, firing.Cone, firing.Atmosphere, firing.Series), []);

    /// <summary>At least two firings, on two dates, of which this holds.</summary>
    public static bool Repeated(EvidenceFiring[] firings, Func<EvidenceFiring, bool> holds)
    {
        var such = firings.Where(holds).ToArray();
        return such.Length >= LeastFirings && such.Select(firing => firing.On).Distinct().Count() >= LeastFirings;
    }

    /// <summary>
    /// Every raw layer of the piece has come out sound, and never otherwise, in two firings or more: then what was unknown of a rule that
    /// yields to evidence is known.
    /// </summary>
    public List<Finding> Raise(FiringPlan firing, Ware ware, List<Finding> findings)
    {
        if (firings.Count == 0 || !findings.Exists(Yields)) return findings;
        var raw = ware.Layers.Where(layer => layer.IsRaw).Select(layer => Of(firing, ware, layer)).ToArray();
        if (raw.Length == 0 || !Array.TrueForAll(raw, IsProven)) return findings;
        var least = raw.MinBy(of => of.Sum(one => one.Sound))!;
        return findings.ConvertAll(finding => Yields(finding) ? Raised(finding, least) : finding);
    }

    private static bool IsProven(EvidenceFiring[] of) =>
        Array.TrueForAll(of, one => one.Spoilt + one.Stuck == 0) && Repeated(of, one => one.Sound > 0);

    private static bool Yields(Finding finding) => finding.Verdict == Verdict.Unknown && CoFiringRules.YieldingToEvidence.Contains(finding.Rule);

    private static Finding Raised(Finding finding, EvidenceFiring[] of)
    {
        var sound = of.Sum(one => one.Sound);
        var counts = new Dictionary<string, object?>(finding.Values, StringComparer.Ordinal)
        {
            ["soundPieces"] = sound,
            ["firings"] = of.Length,
            ["firstOn"] = $"{of.Min(one => one.On):uuuu-MM-dd}",
            ["lastOn"] = $"{of.Max(one => one.On):uuuu-MM-dd}",
        };
        return finding with
        {
            Verdict = Verdict.Compatible,
            Message = $"Not known from the makers' figures, but {sound} of {sound} pieces of this clay, glaze and coats came out sound of {of.Length} "
                + $"of this studio's firings like it, {of.Min(one => one.On):uuuu-MM-dd} to {of.Max(one => one.On):uuuu-MM-dd}.",
            Values = counts,
            Cures = [],
        };
    }

    private readonly record struct Key(string Clay, string Glaze, int Coats, Cone Cone, Atmosphere Atmosphere, ConeSeries Series);
}
