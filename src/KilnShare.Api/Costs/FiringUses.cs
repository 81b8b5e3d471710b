using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Costs;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;

namespace KilnShare.Api.Costs;

/// <summary>A copy that goes into a firing, as far as money goes.</summary>
/// <param name="Frozen">What it is.</param>
/// <param name="Shelf">The shelf it stands on; null where that is not known.</param>
internal sealed record UsedCopy(FrozenCopy Frozen, int? Shelf);

/// <summary>What each member's ware takes of a firing.</summary>
internal static class FiringUses
{
    private const double StartC = 20;

    /// <summary>Each member's use; what is not known of some ware is left out, or refused where the rules need it.</summary>
    public static Result<IReadOnlyList<MemberUse>> Of(IReadOnlyList<UsedCopy> copies, KilnSpacing spacing, FiringAim aim, CostRules rules)
    {
        var unweighed = copies.FirstOrDefault(c => c.Frozen.MassG is null);
        if (unweighed is not null && (Needs(rules, CostBasis.Mass) || Needs(rules, CostBasis.Kwh)))
            return Refusal.Rule(
                "costs.mass-missing",
                $"The studio's cost rules go by the weight of the ware, and {unweighed.Frozen.Name} ({unweighed.Frozen.Mark ?? "no mark"}) was not weighed. "
                    + $"Ask the owner to divide by volume, or weigh the ware before it is loaded.");
        if (Needs(rules, CostBasis.LevelHeight) && copies.Any(c => c.Shelf is null))
            return Refusal.Rule("costs.shelf-missing",
                "The studio's cost rules go by the height of shelves, and some ware went in without a place in the plan. Ask the owner to divide by volume.");
        var levels = copies.Any(c => c.Shelf is null) ? (int?)null : copies.Max(c => c.Shelf!.Value) + 1;
        return copies.GroupBy(c => c.Frozen.MemberId).OrderBy(g => g.Key.Value)
            .Select(g => UseOf(g.Key.ToString(), [.. g], levels, spacing, aim)).ToList();
    }

    /// <summary>The room that these copies take.</summary>
    public static decimal VolumeCm3(IEnumerable<FrozenCopy> copies, KilnSpacing spacing) =>
        copies.Sum(c => SpacingEnvelope.VolumeCm3(c.Footprint, c.Height, spacing.Gap, spacing.Headroom));

    private static MemberUse UseOf(string member, IReadOnlyList<UsedCopy> mine, int? levels, KilnSpacing spacing, FiringAim aim)
    {
        var weighed = mine.All(c => c.Frozen.MassG is not null);
        return new MemberUse(
            member, mine.Count,
            mine.Sum(c => SpacingEnvelope.FootprintCm2(c.Frozen.Footprint)),
            VolumeCm3(mine.Select(c => c.Frozen), spacing),
            weighed ? mine.Sum(c => c.Frozen.MassG) : null,
            weighed ? OwnHeatKwh(mine, aim) : null,
            levels is { } count ? [.. Enumerable.Range(0, count).Select(level => TallestMm(mine.Where(c => c.Shelf == level)))] : null)
        {
            TestVolumeCm3 = mine.Any(c => c.Frozen.TestWare) ? VolumeCm3(mine.Where(c => c.Frozen.TestWare).Select(c => c.Frozen), spacing) : null,
        };
    }

    private static decimal TallestMm(IEnumerable<UsedCopy> onLevel) =>
        onLevel.Select(c => c.Frozen.Height.Micrometres / 1000m).DefaultIfEmpty(0).Max();

    private static decimal? OwnHeatKwh(IReadOnlyList<UsedCopy> mine, FiringAim aim) =>
        ConeTables.At(aim.Series, aim.Cone, ConeTables.TabulatedRatesCPerHour(aim.Series)[^1]).TryGet(out var cone, out _)
            ? mine.Sum(c => OwnHeat.Kwh(new LoadHeat((double)c.Frozen.MassG!.Value / 1000, 0, c.Frozen.FiredWare().Stage), StartC, cone.Celsius)) : null;

    private static bool Needs(CostRules rules, CostBasis basis) => rules.EnergyBasis == basis || rules.WearBasis == basis;
}
