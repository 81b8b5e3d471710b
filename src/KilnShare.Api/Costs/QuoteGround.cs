using KilnShare.Api.Energy;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
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
internal sealed record QuoteGround(CostGround Costs, IReadOnlyList<decimal> LastKwh, FiringSchedule? Schedule, StudioTariff? Tariff, KnownKiln? Known)
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
        return new QuoteGround(costs, await ReadLastKwh(db, firing, cancellation), schedule?.Schedule, tariff, known);
    }

    /// <summary>The quote for a member whose ware is in this load.</summary>
    public Result<FiringQuote> Quote(IReadOnlyList<UsedCopy> load, string member)
    {
        if (!Costs.Basis(load).TryGet(out var basis, out var refusal)) return refusal;
        if (!Assume(load).TryGet(out var energy, out refusal)) return refusal;
        if (Tariff is null) return FiringQuote.Of(basis, Costs.Currency, energy.Assumption, member);
        return Tariff.Terms.In(DateTimeZoneProviders.Tzdb[Costs.Studio.TimeZone]).Then(terms => terms.Cost(energy.Power, Costs.Firing.StartsAt)).Then(bill =>
            FiringQuote.Of(basis with { Billed = new BilledEnergy(energy.Assumption.Kwh, bill.TotalMinor) }, Costs.Currency, energy.Assumption, member));
    }

    /// <summary>By the forecast of the schedule where the kiln is learnt; else by the meter of like firings; else by the forecast unlearnt; else by the plate.</summary>
    private Result<AssumedEnergy> Assume(IReadOnlyList<UsedCopy> load)
    {
        var (firing, kiln) = (Costs.Firing, Costs.Kiln);
        if (Known is { } known && (known.Learnt.Firings > 0 || LastKwh.Count == 0) && KilnForecasts.Of(kiln, Schedule!, firing.Aim.Kind, known, WareKg(load)) is { } forecast
            && forecast.TryGet(out var found, out _) && !found.GaveUp)
            return new AssumedEnergy(new EnergyAssumption(EnergyByPartContract.Kwh(found.EnergyKwh), Math.Round((decimal)found.HalfWidthPercent, 1), known.Sentence), found.Power);
        return EnergyAssumption.Of(LastKwh, kiln.Making.RatedKw, firing.FiringHours, firing.Aim.Kind) is { } energy
            ? new AssumedEnergy(energy, Even(energy.Kwh, firing.FiringHours))
            : Refusal.Rule("costs.no-energy-basis", "Nothing is known of this kiln's energy: no firing of this kind was metered, and its rated power is not written down. Ask a technician to write the kW from its plate down.");
    }

    /// <summary>Mass of the ware; null where some of it was not weighed.</summary>
    private static double? WareKg(IReadOnlyList<UsedCopy> load) =>
        load.All(c => c.Frozen.MassG is not null) ? load.Sum(c => (double)c.Frozen.MassG!.Value) / 1000 : null;

    private static PowerCurve Even(decimal kwh, decimal hours) => new([0, (double)hours * 3600], [0, (double)(kwh / hours)]);

    private static async Task<IReadOnlyList<decimal>> ReadLastKwh(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        const int Looked = 50;
        var settled = await db.Set<Firing>().AsNoTracking()
            .Where(f => f.StudioId == firing.StudioId && f.KilnId == firing.KilnId && f.State == FiringState.Settled)
            .OrderByDescending(f => f.StartsAt).Take(Looked).ToListAsync(cancellation);
        var alike = settled.Where(f => f.Aim.Kind == firing.Aim.Kind && f.Aim.Cone == firing.Aim.Cone).Take(EnergyAssumption.MostFirings).Select(f => f.Id).ToList();
        return (await db.Set<FiringSettlement>().AsNoTracking().Where(s => s.StudioId == firing.StudioId && alike.Contains(s.FiringId)).ToListAsync(cancellation))
            .GroupBy(s => s.FiringId).Select(g => g.MaxBy(s => s.Revision)!.EnergyKwh).ToList();
    }

    private sealed record AssumedEnergy(EnergyAssumption Assumption, PowerCurve Power);
}
