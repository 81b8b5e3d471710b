using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Outcomes;

/// <summary>What evidence may be told apart by, beyond clay, glaze, cone, its series and atmosphere.</summary>
public enum EvidenceBy
{
    /// <summary>How many coats of the glaze.</summary>
    Coats,

    /// <summary>All coats on the ware in their order: what lies under the glaze and over it.</summary>
    Layers,

    /// <summary>How the glaze went on.</summary>
    AppliedBy,

    /// <summary>The batch of the glaze.</summary>
    Batch,

    /// <summary>The part of the kiln that the ware stood in.</summary>
    Level,
}

/// <summary>A coat in a stack of them.</summary>
/// <param name="Glaze">Its glaze.</param>
/// <param name="Coats">How many coats; null where rows are not told apart by it.</param>
/// <param name="WasFired">It was fired before this firing.</param>
public sealed record StackedCoat(string Glaze, int? Coats, bool WasFired);

/// <summary>What many outcomes say of one clay under one glaze, fired alike.</summary>
/// <param name="Clay">The clay's name.</param>
/// <param name="Glaze">The glaze's name; null for ware without glaze.</param>
/// <param name="Coats">How many coats; null where rows are not told apart by it.</param>
/// <param name="Cone">The cone reached.</param>
/// <param name="Series">The series that the cone belongs to.</param>
/// <param name="Atmosphere">The atmosphere.</param>
/// <param name="Pieces">How many copies were seen.</param>
/// <param name="Firings">In how many firings.</param>
/// <param name="Dates">On how many dates.</param>
/// <param name="Grades">How many of each grade.</param>
/// <param name="Defects">How often each defect was seen.</param>
public sealed record EvidenceRow(
    string Clay, string? Glaze, int? Coats, Cone Cone, ConeSeries Series, Atmosphere Atmosphere, int Pieces, int Firings, int Dates,
    IReadOnlyDictionary<OutcomeGrade, int> Grades, IReadOnlyDictionary<Defect, int> Defects)
{
    /// <summary>All coats, lowest first; null where rows are not told apart by them.</summary>
    public IReadOnlyList<StackedCoat>? Layers { get; init; }

    /// <summary>How the glaze went on; null where nobody said, or where rows are not told apart by it.</summary>
    public CoatApplication? AppliedBy { get; init; }

    /// <summary>The batch of the glaze; null where nobody said, or where rows are not told apart by it.</summary>
    public string? Batch { get; init; }

    /// <summary>The part of the kiln; null where nobody knows, or where rows are not told apart by it.</summary>
    public KilnLevel? Level { get; init; }

    /// <summary>How often the ware came out sound.</summary>
    public required SeenRate Sound { get; init; }

    /// <summary>How often each defect that was seen came.</summary>
    public required IReadOnlyDictionary<Defect, SeenRate> DefectRates { get; init; }

    /// <summary>True from two firings on two dates: one firing may have been an odd one (common practice, no source).</summary>
    public bool IsRepeated => Firings >= RateInterval.LeastFirings && Dates >= RateInterval.LeastFirings;
}

/// <summary>Gathers outcomes into evidence: what a mark under the foot becomes worth when it was written down every time.</summary>
public static class EvidenceTable
{
    /// <summary>One row for each clay, glaze, cone, its series and atmosphere that was seen, told apart further as asked; the best known first.</summary>
    /// <param name="seen">What was seen.</param>
    /// <param name="by">What rows are told apart by. What nobody knows of it is a row of its own.</param>
    public static IReadOnlyList<EvidenceRow> Of(IEnumerable<SeenCopies> seen, IReadOnlySet<EvidenceBy> by) =>
        [.. Grouped(seen, by).Select(g => g.Row)
            .OrderByDescending(r => r.Pieces).ThenBy(r => r.Clay, StringComparer.Ordinal).ThenBy(r => r.Glaze, StringComparer.Ordinal).ThenBy(r => r.Coats)
            .ThenBy(r => r.Cone).ThenBy(r => r.Series).ThenBy(r => r.Atmosphere).ThenBy(r => TextOf(r.Layers), StringComparer.Ordinal)
            .ThenBy(r => r.AppliedBy).ThenBy(r => r.Batch, StringComparer.Ordinal).ThenBy(r => r.Level)];

    /// <summary>Each row with the outcomes it is made of.</summary>
    internal static IEnumerable<(EvidenceRow Row, IReadOnlyList<SeenCopies> Seen)> Grouped(IEnumerable<SeenCopies> seen, IReadOnlySet<EvidenceBy> by) =>
        seen.SelectMany(s => KeysOf(s, by)).GroupBy(k => k.Key, k => k.Seen)
            .Select(same => (RowOf(same.Key, [.. same], by), (IReadOnlyList<SeenCopies>)[.. same]));

    /// <summary>The same outcomes as the co-firing rules take them, firing by firing.</summary>
    public static IReadOnlyList<Evidence> ForRules(IEnumerable<SeenCopies> seen) =>
        [.. seen.SelectMany(s => KeysOf(s, ByCoats)).Where(k => k.Key.Glaze is not null).GroupBy(k => k.Key, k => k.Seen)
            .Select(same => new Evidence(
                same.Key.Clay, same.Key.Glaze!, same.Key.Coats!.Value, same.Key.Cone, same.Key.Atmosphere,
                [.. same.GroupBy(s => s.FiringId).Select(FiringOf)]) { Series = same.Key.Series })];

    /// <summary>What rows are told apart by where nobody says otherwise.</summary>
    public static IReadOnlySet<EvidenceBy> ByCoats { get; } = new HashSet<EvidenceBy> { EvidenceBy.Coats };

    private static EvidenceFiring FiringOf(IEnumerable<SeenCopies> one)
    {
        var all = one.ToList();
        var stuck = all.Where(s => s.IsStuck).Sum(s => s.Copies);
        var sound = all.Where(s => s.IsSound).Sum(s => s.Copies);
        return new EvidenceFiring(all[0].On, sound, all.Sum(s => s.Copies) - sound - stuck, stuck);
    }

    private static IEnumerable<(Key Key, SeenCopies Seen)> KeysOf(SeenCopies seen, IReadOnlySet<EvidenceBy> by)
    {
        var bare = new Key(seen.Clay.Name, null, by.Contains(EvidenceBy.Coats) ? 0 : null, seen.Aim.Cone, seen.Aim.Series, seen.Aim.Atmosphere)
        {
            Level = by.Contains(EvidenceBy.Level) ? seen.Level : null,
            Stack = TextOf(StackOf(seen, by)),
        };
        if (!seen.Fired.Any()) return [(bare, seen)];
        return seen.Fired.Select(l => bare with
        {
            Glaze = l.Glaze.Name,
            Coats = by.Contains(EvidenceBy.Coats) ? l.Coats : null,
            AppliedBy = by.Contains(EvidenceBy.AppliedBy) ? l.AppliedBy : null,
            Batch = by.Contains(EvidenceBy.Batch) ? l.Batch : null,
        }).Distinct().Select(key => (key, seen)); // a glaze that was put on twice is one piece all the same
    }

    private static IReadOnlyList<StackedCoat>? StackOf(SeenCopies seen, IReadOnlySet<EvidenceBy> by) => by.Contains(EvidenceBy.Layers)
        ? [.. seen.Layers.Select(l => new StackedCoat(l.Glaze.Name, by.Contains(EvidenceBy.Coats) ? l.Coats : null, !l.IsRaw))] : null;

    private static string? TextOf(IReadOnlyList<StackedCoat>? stack) =>
        stack is null ? null : string.Join('\n', stack.Select(c => $"{c.Glaze}\t{c.Coats}\t{c.WasFired}"));

    private static EvidenceRow RowOf(Key key, IReadOnlyList<SeenCopies> all, IReadOnlySet<EvidenceBy> by)
    {
        var sound = SeenRate.Of(all, s => s.IsSound);
        var defects = SeenRate.OfDefects(all);
        return new EvidenceRow(
            key.Clay, key.Glaze, key.Coats, key.Cone, key.Series, key.Atmosphere, sound.Pieces, sound.Firings, all.Select(s => s.On).Distinct().Count(),
            all.GroupBy(s => s.Grade).ToDictionary(g => g.Key, g => g.Sum(s => s.Copies)), defects.ToDictionary(d => d.Key, d => d.Value.Seen))
        {
            Layers = StackOf(all[0], by),
            AppliedBy = key.AppliedBy,
            Batch = key.Batch,
            Level = key.Level,
            Sound = sound,
            DefectRates = defects,
        };
    }

    private sealed record Key(string Clay, string? Glaze, int? Coats, Cone Cone, ConeSeries Series, Atmosphere Atmosphere)
    {
        public CoatApplication? AppliedBy { get; init; }

        public string? Batch { get; init; }

        public KilnLevel? Level { get; init; }

        /// <summary>The whole stack as a text, since lists are not compared by what they hold.</summary>
        public string? Stack { get; init; }
    }
}
