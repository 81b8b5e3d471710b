using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using NodaTime;

namespace KilnShare.Core.Outcomes;

/// <summary>One outcome with what the ware was and how it was fired.</summary>
/// <param name="Outcome">How it came out.</param>
/// <param name="Frozen">The copy as it went in.</param>
/// <param name="Aim">The firing.</param>
/// <param name="On">The day it was unloaded, in the studio's zone.</param>
public sealed record SeenOutcome(Outcome Outcome, FrozenCopy Frozen, FiringAim Aim, LocalDate On)
{
    /// <summary>
    /// An outcome with the cone that the ware was really fired to, and with the coats that this firing fired or found fired. Null where the firing came to
    /// no cone, or fired none of the coats that went in raw: it then says nothing of how they come out.
    /// </summary>
    public static SeenOutcome? Of(Outcome outcome, LoadItem item, Firing firing, DateTimeZone zone)
    {
        if (FiringEffect.ConeOf(firing.Aim, firing.Outcome ?? FiringOutcome.Sound, firing.Heat()) is not { } cone) return null;
        var ware = item.Frozen.FiredWare();
        var before = new CopyState(ware.Stage, 0) { LayersFiredAt = [.. ware.Layers.TakeWhile(l => !l.IsRaw).Select(l => l.FiredAt!.Value)] };
        var fired = item.After(before, firing).LayersFiredAt.Count;
        if (before.LayersFiredAt.Count < ware.Layers.Count && fired <= before.LayersFiredAt.Count) return null;
        return new SeenOutcome(
            outcome, item.Frozen with { Ware = ware with { Layers = [.. ware.Layers.Take(fired)] } }, firing.Aim with { Cone = cone },
            (firing.UnloadedAt ?? firing.EndsAt).InZone(zone).Date);
    }
}

/// <summary>What many outcomes say of one clay under one glaze, fired alike.</summary>
/// <param name="Clay">The clay's name.</param>
/// <param name="Glaze">The glaze's name; null for ware without glaze.</param>
/// <param name="Coats">How many coats.</param>
/// <param name="Cone">The cone.</param>
/// <param name="Series">The series that the cone belongs to.</param>
/// <param name="Atmosphere">The atmosphere.</param>
/// <param name="Pieces">How many copies were seen.</param>
/// <param name="Firings">In how many firings.</param>
/// <param name="Dates">On how many dates.</param>
/// <param name="Grades">How many of each grade.</param>
/// <param name="Defects">How often each defect was seen.</param>
public sealed record EvidenceRow(
    string Clay, string? Glaze, int Coats, Cone Cone, ConeSeries Series, Atmosphere Atmosphere, int Pieces, int Firings, int Dates,
    IReadOnlyDictionary<OutcomeGrade, int> Grades, IReadOnlyDictionary<Defect, int> Defects)
{
    private const int LeastFirings = 2;

    /// <summary>True from two firings on two dates: one firing may have been an odd one (common practice, no source).</summary>
    public bool IsRepeated => Firings >= LeastFirings && Dates >= LeastFirings;
}

/// <summary>Gathers outcomes into evidence: what a mark under the foot becomes worth when it was written down every time.</summary>
public static class EvidenceTable
{
    /// <summary>One row for each clay, glaze, coats, cone, its series and atmosphere that was seen, the best known first.</summary>
    public static IReadOnlyList<EvidenceRow> Of(IEnumerable<SeenOutcome> seen) =>
        [.. seen.SelectMany(KeysOf).GroupBy(k => k.Key, k => k.Seen).Select(RowOf)
            .OrderByDescending(r => r.Pieces).ThenBy(r => r.Clay, StringComparer.Ordinal).ThenBy(r => r.Glaze, StringComparer.Ordinal).ThenBy(r => r.Coats)];

    /// <summary>The same outcomes as the co-firing rules take them, firing by firing.</summary>
    public static IReadOnlyList<Evidence> ForRules(IEnumerable<SeenOutcome> seen) =>
        [.. seen.SelectMany(KeysOf).Where(k => k.Key.Glaze is not null).GroupBy(k => k.Key, k => k.Seen)
            .Select(same => new Evidence(
                same.Key.Clay, same.Key.Glaze!, same.Key.Coats, same.Key.Cone, same.Key.Atmosphere,
                [.. same.GroupBy(s => s.Outcome.FiringId).Select(FiringOf)]) { Series = same.Key.Series })];

    private static EvidenceFiring FiringOf(IEnumerable<SeenOutcome> one)
    {
        var all = one.ToList();
        var stuck = all.Count(s => s.Outcome.Defects.Contains(Defect.Stuck));
        var spoilt = all.Count(s => s.Outcome.Grade >= OutcomeGrade.Poor && !s.Outcome.Defects.Contains(Defect.Stuck));
        return new EvidenceFiring(all[0].On, all.Count - stuck - spoilt, spoilt, stuck);
    }

    private static IEnumerable<(Key Key, SeenOutcome Seen)> KeysOf(SeenOutcome seen)
    {
        var (ware, aim) = (seen.Frozen.FiredWare(), seen.Aim);
        var raw = ware.Layers.Where(l => l.IsRaw).ToList();
        return raw.Count == 0
            ? [(new Key(ware.Clay.Name, null, 0, aim.Cone, aim.Series, aim.Atmosphere), seen)]
            : raw.Select(l => (new Key(ware.Clay.Name, l.Glaze.Name, l.Coats, aim.Cone, aim.Series, aim.Atmosphere), seen));
    }

    private static EvidenceRow RowOf(IGrouping<Key, SeenOutcome> same) => new(
        same.Key.Clay, same.Key.Glaze, same.Key.Coats, same.Key.Cone, same.Key.Series, same.Key.Atmosphere,
        same.Count(), same.Select(s => s.Outcome.FiringId).Distinct().Count(), same.Select(s => s.On).Distinct().Count(),
        same.GroupBy(s => s.Outcome.Grade).ToDictionary(g => g.Key, g => g.Count()),
        same.SelectMany(s => s.Outcome.Defects).GroupBy(d => d).ToDictionary(g => g.Key, g => g.Count()));

    private sealed record Key(string Clay, string? Glaze, int Coats, Cone Cone, ConeSeries Series, Atmosphere Atmosphere);
}
