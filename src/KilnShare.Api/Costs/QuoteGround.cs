using KilnShare.Api.Energy;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Costs.Quotes;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>What a firing is quoted by: its cost's ground, and what tells its energy and the price of it.</summary>
/// <param name="Costs">The ground.</param>
/// <param name="LastKwh">The energy of this kiln's newest settled firings of the same kind and cone.</param>
/// <param name="Schedule">The schedule it follows; null where none was named.</param>
/// <param name="Tariff">The kiln's tariff; null where the studio's flat price holds.</param>
/// <param name="Known">The kiln as its own firings taught it; null where its wall or power is not known.</param>
/// <param name="Past">How full its newest settled firings of the same kind were.</param>
internal sealed record QuoteGround(
    CostGround Costs, IReadOnlyList<decimal> LastKwh, FiringSchedule? Schedule, StudioTariff? Tariff, KnownKiln? Known, IReadOnlyList<PastFill> Past)
{
    /// <summary>Reads it.</summary>
    public static async Task<QuoteGround> Read(KilnShareDb db, LearntKilns memory, Firing firing, CancellationToken cancellation)
    {
        var costs = await CostGround.Read(db, firing, cancellation);
        var schedule = firing.ScheduleId is not { } named ? null
            : await db.Set<StudioSchedule>().AsNoTracking().SingleAsync(s => s.StudioId == firing.StudioId && s.Id == named, cancellation);
        var tariff = costs.Kiln.TariffId is not { } id ? null
            : await db.Set<StudioTariff>().AsNoTracking().SingleAsync(t => t.StudioId == firing.StudioId && t.Id == id, cancellation);
        var known = schedule is null ? null : await KilnLearning.Read(db, memory, costs.Kiln, cancellation);
        var (lastKwh, past) = await ReadPast(db, firing, cancellation);
        return new QuoteGround(costs, lastKwh, schedule?.Schedule, tariff, known, past);
    }

    /// <summary>The quote for a member whose ware is in this load.</summary>
    public Result<FiringQuote> Quote(IReadOnlyList<UsedCopy> load, string member)
    {
        if (!Costs.Basis(load).TryGet(out var basis, out var refusal)) return refusal;
        var outlook = Outlook(basis);
        if (!Case(load, basis, basis.Uses).TryGet(out var booked, out refusal)) return refusal;
        if (!Case(load, basis, FillOutlook.Joined(basis.Uses, outlook.LikelyCm3, outlook.LikelyMembers, member), booked).TryGet(out var likely, out refusal))
            return refusal;
        return Case(load, basis, FillOutlook.Joined(basis.Uses, outlook.FullCm3, outlook.FullMembers, member), booked).Then(full =>
            FiringQuote.Of(likely, booked, full, Costs.Currency, member));
    }

    /// <summary>How full the firing may become.</summary>
    public FillOutlook Outlook(FiringCostBasis booked) => FillOutlook.Of(Past, booked.CapacityCm3, booked.Uses);

    /// <summary>The firing with these uses, and the energy it takes then; the case booked where nobody joins.</summary>
    private Result<QuoteCase> Case(IReadOnlyList<UsedCopy> load, FiringCostBasis basis, IReadOnlyList<MemberUse> uses, QuoteCase? booked = null)
    {
        if (booked is not null && ReferenceEquals(uses, basis.Uses)) return booked;
        var (now, then) = (basis.Uses.Sum(u => u.VolumeCm3 ?? 0), uses.Sum(u => u.VolumeCm3 ?? 0));
        if (!Assume(load, now == 0 ? 1 : (double)(then / now)).TryGet(out var energy, out var refusal)) return refusal;
        var joined = basis with { Uses = uses };
        if (Tariff is null) return new QuoteCase(joined, energy.Assumption);
        return Tariff.Terms.In(DateTimeZoneProviders.Tzdb[Costs.Studio.TimeZone]).Then(terms => terms.Cost(energy.Power, Costs.Firing.StartsAt))
            .Then<QuoteCase>(bill =>
            new QuoteCase(joined with { Billed = new BilledEnergy(energy.Assumption.Kwh, bill.TotalMinor) }, energy.Assumption));
    }

    /// <summary>
    /// By the forecast of the schedule where the kiln is learnt; else by the meter of like firings; else by the forecast unlearnt; else by the plate.
    /// </summary>
    /// <param name="load">What is booked.</param>
    /// <param name="times">So many times as much ware.</param>
    private Result<AssumedEnergy> Assume(IReadOnlyList<UsedCopy> load, double times)
    {
        var (firing, kiln) = (Costs.Firing, Costs.Kiln);
        if (Known is { } known && (known.Learnt.Firings > 0 || LastKwh.Count == 0)
            && KilnForecasts.Of(kiln, Schedule!, firing.Aim.Kind, known, FiringWare.Kg([.. load.Select(c => c.Frozen)]) * times) is { } forecast
            && forecast.TryGet(out var found, out _) && !found.GaveUp)
            return new AssumedEnergy(
                new EnergyAssumption(EnergyByPartContract.Kwh(found.EnergyKwh), Math.Round((decimal)found.HalfWidthPercent, 1), known.Sentence), found.Power);
        return EnergyAssumption.Of(LastKwh, kiln.Making.RatedKw, firing.FiringHours, firing.Aim.Kind) is { } energy
            ? new AssumedEnergy(energy, Even(energy.Kwh, firing.FiringHours))
            : Refusal.Rule(
                "costs.no-energy-basis",
                "Nothing is known of this kiln's energy: no firing of this kind was metered, and its rated power is not written down. Ask a technician to "
                    + "write the kW from its plate down.");
    }

    private static PowerCurve Even(decimal kwh, decimal hours) => new([0, (double)hours * 3600], [0, (double)(kwh / hours)]);

    private static async Task<(IReadOnlyList<decimal> LastKwh, IReadOnlyList<PastFill> Fills)> ReadPast(
        KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        const int Looked = 50;
        var settled = await db.Set<Firing>().AsNoTracking()
            .Where(f => f.StudioId == firing.StudioId && f.KilnId == firing.KilnId && f.State == FiringState.Settled)
            .OrderByDescending(f => f.StartsAt).Take(Looked).ToListAsync(cancellation);
        var ofKind = settled.Where(f => f.Aim.Kind == firing.Aim.Kind).ToList();
        var alike = ofKind.Where(f => f.Aim.Cone == firing.Aim.Cone).Take(EnergyAssumption.MostFirings).Select(f => f.Id).ToHashSet();
        var fills = ofKind.Take(FillOutlook.MostFirings).Select(f => f.Id).ToHashSet();
        var asked = alike.Union(fills).ToList();
        var latest = (await db.Set<FiringSettlement>().AsNoTracking().Where(s => s.StudioId == firing.StudioId && asked.Contains(s.FiringId))
            .ToListAsync(cancellation))
            .GroupBy(s => s.FiringId).Select(g => g.MaxBy(s => s.Revision)!).ToList();
        return (
            [.. latest.Where(s => alike.Contains(s.FiringId)).Select(s => s.EnergyKwh)],
            [.. latest.Where(s => fills.Contains(s.FiringId)).Select(s => new PastFill(s.Basis.Uses.Sum(u => u.VolumeCm3 ?? 0), s.Basis.Uses.Count))]);
    }

    private sealed record AssumedEnergy(EnergyAssumption Assumption, PowerCurve Power);
}
