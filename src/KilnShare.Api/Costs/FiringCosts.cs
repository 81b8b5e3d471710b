using KilnShare.Api.Access;
using KilnShare.Api.Energy;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Costs;

/// <summary>What a firing cost and how it divides over what really went in.</summary>
/// <param name="Basis">What it is divided by.</param>
/// <param name="Currency">Of the studio.</param>
/// <param name="Cost">How it divides.</param>
/// <param name="Energy">The bill of the energy by the kiln's tariff; null where the studio's flat price holds, or once settled.</param>
/// <param name="Settled">Its latest settlement; null while it is not settled.</param>
/// <param name="Doubts">What speaks against its energy as it was written down; empty once settled.</param>
internal sealed record FiringCosts(
    FiringCostBasis Basis, Currency Currency, FiringCost Cost, TariffCost? Energy, FiringSettlement? Settled, IReadOnlyList<EnergyDoubt> Doubts)
{
    /// <summary>The metered split with energy by kWh, where that is offered beside the studio's rule.</summary>
    public CostSplitAnswer? ByKwh() => Basis.LearntFirings is { } firings && KwhOffer.Holds(firings) && Basis.Rules.EnergyBasis != CostBasis.Kwh
        && FiringCost.Of(Basis with { Rules = Basis.Rules with { EnergyBasis = CostBasis.Kwh } }, Currency, Cost.EnergyKwh).TryGet(out var offered, out _)
            ? offered.Metered : null;

    /// <summary>What a reader is shown of it.</summary>
    public AmountsView ViewOf(Studio studio, Caller caller) =>
        AmountsView.Of(studio.AmountsShownTo, caller.Role, caller.MemberId,
            [Cost.Charged, Cost.Metered, .. ByKwh() is { } offered ? [offered] : Array.Empty<CostSplitAnswer>()]);

    /// <summary>Why each part that a reader is shown is what it is.</summary>
    public IReadOnlyDictionary<string, string> ReasonsFor(AmountsView view)
    {
        var reasons = CostSentences.Reasons(Basis, Cost);
        if (view.Shown == AmountsShown.Everything) return reasons;
        var shown = Cost.Charged.Shares.Where(s => view.Shows(s.Id)).SelectMany(s => s.Parts).Select(p => p.Name)
            .Concat(view.ShowsParts(Cost.Metered) ? Cost.Request.Parts.Select(p => p.Name) : []).ToHashSet(StringComparer.Ordinal);
        return reasons.Where(r => shown.Contains(r.Key)).ToDictionary(StringComparer.Ordinal);
    }

    /// <summary>As it was settled; before that by meter, real load, kiln, price and rules as they are now.</summary>
    public static async Task<Result<FiringCosts>> Read(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        if (await Latest(db, firing, cancellation) is { } settled)
        {
            var kept = Currency.Parse(settled.Currency)!.Value;
            return FiringCost.Of(settled.Basis, kept, settled.EnergyKwh).Then<FiringCosts>(
                cost => new FiringCosts(settled.Basis, kept, cost with { Charged = settled.Split with { Notes = cost.Charged.Notes } }, null, settled, []));
        }

        if (!(await FiringTakes.Read(db, firing, cancellation)).TryGet(out var take, out var refusal)) return refusal;
        var placed = await db.Set<LoadItem>().AsNoTracking()
            .Where(i => i.StudioId == firing.StudioId && i.FiringId == firing.Id && i.Fate == LoadFate.Placed).ToListAsync(cancellation);
        if (placed.Count == 0)
            return Refusal.Rule("bookings.nothing-loaded", "Nothing went into this firing, so there is nobody to share its cost. Write its load down first.");
        var ground = await CostGround.Read(db, firing, cancellation);
        if (!ground.Basis([.. placed.Select(i => new UsedCopy(i.Frozen, i.ShelfNo))]).TryGet(out var basis, out refusal)) return refusal;
        var currency = ground.Currency;
        var billed = await TariffEndpoints.CostOf(db, firing, take, cancellation);
        if (billed?.Refusal is { } unbilled) return unbilled;
        if (billed is not null) basis = basis with { Billed = new BilledEnergy(take.Kwh, billed.Value.TotalMinor) };
        var doubts = await EnergyClaims.Doubts(db, firing, take, basis, cancellation);
        return FiringCost.Of(basis, currency, take.Kwh).Then<FiringCosts>(cost => new FiringCosts(basis, currency, cost, billed?.Value, null, doubts));
    }

    /// <summary>The latest settlement of a firing; null where there is none.</summary>
    public static Task<FiringSettlement?> Latest(KilnShareDb db, Firing firing, CancellationToken cancellation) =>
        db.Set<FiringSettlement>().AsNoTracking().Where(s => s.StudioId == firing.StudioId && s.FiringId == firing.Id)
            .OrderByDescending(s => s.Revision).FirstOrDefaultAsync(cancellation);
}
