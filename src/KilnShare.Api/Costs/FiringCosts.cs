using KilnShare.Api.Energy;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Costs;

/// <summary>What a firing cost and how it divides over what really went in.</summary>
/// <param name="EnergyKwh">By the meter.</param>
/// <param name="Energy">The bill of that energy by the kiln's tariff; null where the studio's flat price holds.</param>
/// <param name="Currency">Of the studio.</param>
/// <param name="Request">What was divided.</param>
/// <param name="Split">How it divides.</param>
internal sealed record FiringCosts(decimal EnergyKwh, TariffCost? Energy, Currency Currency, CostSplitRequest Request, CostSplitAnswer Split)
{
    /// <summary>Reads meter, real load, kiln and price, and divides.</summary>
    public static async Task<Result<FiringCosts>> Read(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        var readings = await MeterEndpoints.ReadingsOf(db, firing, cancellation);
        if (readings.Count < 2) return Refusal.Rule("energy.not-metered", "The firing needs a meter reading at its start and one at its end. Write them down first.");
        if (!MeterEntry.SeriesOf(readings).Then(s => s.Between(readings[0].ReadAt, readings[^1].ReadAt)).TryGet(out var metered, out var refusal)) return refusal;
        var placed = await db.Set<LoadItem>().AsNoTracking()
            .Where(i => i.StudioId == firing.StudioId && i.FiringId == firing.Id && i.Fate == LoadFate.Placed).ToListAsync(cancellation);
        if (placed.Count == 0) return Refusal.Rule("bookings.nothing-loaded", "Nothing went into this firing, so there is nobody to share its cost. Write its load down first.");
        var studio = await db.Set<Studio>().AsNoTracking().SingleAsync(s => s.StudioId == firing.StudioId, cancellation);
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == firing.StudioId && k.Id == firing.KilnId, cancellation);
        var currency = Currency.Parse(studio.Currency)!.Value;
        var billed = await TariffEndpoints.CostOf(db, studio, kiln, readings, cancellation);
        if (billed?.Refusal is { } unbilled) return unbilled;
        var energyMinor = billed?.Value.TotalMinor ?? MinorUnits.Of(metered.Kwh * studio.PerKwh, currency);
        var request = new CostSplitRequest(currency, Parts(energyMinor, kiln), Uses(placed, kiln.Making.Spacing), firing.Id.ToString());
        return CostSplit.Split(request).Then<FiringCosts>(split => new FiringCosts(metered.Kwh, billed?.Value, currency, request, split));
    }

    private static List<CostPart> Parts(long energyMinor, Kiln kiln)
    {
        List<CostPart> parts = [new CostPart("energy", energyMinor, CostBasis.Volume)];
        if (kiln.Making.WearMinor > 0) parts.Add(new CostPart("wear", kiln.Making.WearMinor, CostBasis.Equal));
        return parts;
    }

    private static List<MemberUse> Uses(List<LoadItem> placed, KilnSpacing spacing) =>
        [.. placed.GroupBy(i => i.Frozen.MemberId).OrderBy(g => g.Key.Value).Select(g => new MemberUse(
            g.Key.ToString(), g.Count(),
            g.Sum(i => SpacingEnvelope.FootprintCm2(i.Frozen.Footprint)),
            g.Sum(i => SpacingEnvelope.VolumeCm3(i.Frozen.Footprint, i.Frozen.Height, spacing.Gap, spacing.Headroom)),
            g.All(i => i.Frozen.MassG is not null) ? g.Sum(i => i.Frozen.MassG) : null))];
}
