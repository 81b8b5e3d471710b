using KilnShare.Api.Access;
using KilnShare.Api.Studios;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Energy;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Costs;

/// <summary>Stops a settlement whose energy cannot be, until an owner says that it is right all the same.</summary>
internal static class EnergyClaims
{
    /// <summary>What speaks against the energy that was written down for a firing.</summary>
    public static async Task<IReadOnlyList<EnergyDoubt>> Doubts(
        KilnShareDb db, Firing firing, FiringTake take, FiringCostBasis basis, CancellationToken cancellation)
    {
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == firing.StudioId && k.Id == firing.KilnId, cancellation);
        var zone = await StudioZone.Of(db, cancellation);
        var tariff = kiln.TariffId is not { } named ? null
            : await db.Set<StudioTariff>().AsNoTracking().SingleAsync(t => t.StudioId == firing.StudioId && t.Id == named, cancellation);
        var meters = await MetersOf(db, firing, cancellation);
        return EnergyDoubts.Of(new EnergyClaim(EntryWords.OfFiring(firing, kiln.Making.Name, zone), take)
        {
            Zone = zone,
            RatedKw = kiln.Making.RatedKw,
            WareKwh = firing.Outcome is FiringOutcome.Sound or FiringOutcome.Over && basis.Uses.All(u => u.OwnHeatKwh is not null)
                ? basis.Uses.Sum(u => u.OwnHeatKwh) : null,
            Meters = meters,
            Fuel = take.Basis == TakeBasis.Gas || meters.Any(m => m.KwhPerUnit is not null) ? Fuel.Gas : Fuel.Electricity,
            PricedFor = tariff?.Terms.Fuel ?? Fuel.Electricity,
        });
    }

    /// <summary>The same for a correction: the price is the one it was settled by, and of energy that is said outright nothing is too little.</summary>
    public static async Task<IReadOnlyList<EnergyDoubt>> DoubtsOfCorrection(
        KilnShareDb db, Firing firing, CorrectedTake corrected, FiringCostBasis basis, CancellationToken cancellation) =>
        [.. (await Doubts(db, firing, corrected.Take, basis, cancellation))
            .Where(d => d.Code == EnergyDoubts.AboveRatedPower || (corrected.IsRead && d.Code == EnergyDoubts.BelowWareHeat))];

    /// <summary>Refuses a settlement against which something speaks that nobody overruled.</summary>
    /// <param name="doubts">What speaks against it.</param>
    /// <param name="overruled">The codes that the caller overrules.</param>
    /// <param name="caller">Who settles.</param>
    public static Refusal? Check(IReadOnlyList<EnergyDoubt> doubts, IReadOnlyList<string> overruled, Caller caller)
    {
        var left = doubts.Where(d => !overruled.Contains(d.Code, StringComparer.Ordinal)).ToList();
        if (left.Count > 0)
        {
            var message = $"{left[0].Message} If it is right all the same, an owner settles it with that code under overrule, and a reason.";
            var values = new Dictionary<string, object?>(StringComparer.Ordinal) { ["doubts"] = left.ConvertAll(d => d.Code) };
            return Refusal.Rule(left[0].Code, message, "/overrule") with { Values = values };
        }

        return doubts.Count == 0 || caller.Role == Role.Owner ? null : new Refusal(
            RefusalKind.Forbidden, "costs.overrule-not-yours", $"{doubts[0].Message} Only an owner settles it all the same: ask one.", "/overrule");
    }

    /// <summary>What an overruled settlement keeps; null where nothing spoke against it.</summary>
    public static OverruledDoubts? Kept(IReadOnlyList<EnergyDoubt> doubts, string? reason, Caller caller) =>
        doubts.Count == 0 ? null : new OverruledDoubts([.. doubts.Select(d => d.Code).Distinct(StringComparer.Ordinal)], reason!, caller.MemberId.ToString());

    private static async Task<IReadOnlyList<MeterUnit>> MetersOf(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        var readings = await db.ReadingsOf(firing, cancellation);
        if (readings.Count == 0) return [];
        var first = readings[0].ReadAt;
        var names = readings.Select(r => r.Meter).Distinct(StringComparer.Ordinal).ToList();
        var before = await db.ReadingsThatCount(firing.StudioId)
            .Join(db.Set<Firing>(), r => new { r.StudioId, Id = r.FiringId }, f => new { f.StudioId, f.Id }, (r, f) => new { Reading = r, f.KilnId })
            .Where(x => x.KilnId == firing.KilnId && x.Reading.FiringId != firing.Id && x.Reading.ReadAt <= first && names.Contains(x.Reading.Meter))
            .GroupBy(x => x.Reading.Meter).Select(g => g.OrderByDescending(x => x.Reading.ReadAt).First().Reading).ToListAsync(cancellation);
        return [.. readings.GroupBy(r => r.Meter, StringComparer.Ordinal).Select(g => new MeterUnit(
            g.Key, g.LastOrDefault(r => r.KwhPerUnit is not null)?.KwhPerUnit,
            g.Concat(before.Where(b => b.Meter == g.Key)).Select(r => r.KwhPerUnit is null).Distinct().Count() > 1))];
    }
}

/// <summary>A firing's energy as a correction says it.</summary>
/// <param name="Take">The energy.</param>
/// <param name="IsRead">True where it comes off a register.</param>
internal sealed record CorrectedTake(FiringTake Take, bool IsRead);
