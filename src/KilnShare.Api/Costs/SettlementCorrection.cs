using KilnShare.Api.Energy;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Costs;
using KilnShare.Storage.Energy;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>A settlement that takes the place of another.</summary>
internal static class SettlementCorrection
{
    /// <summary>The energy as it should have been: as said, or by the readings with the last one put right.</summary>
    public static async Task<Result<CorrectedTake>> EnergyOf(KilnShareDb db, Firing firing, CorrectionBody body, CancellationToken cancellation)
    {
        if (body.EnergyKwh is { } kwh) return new CorrectedTake(await Said(db, firing, kwh, cancellation), false);
        var readings = await db.ReadingsOf(firing, cancellation);
        if (readings.Count == 0)
            return Refusal.Rule("energy.not-metered", "No register was read for this firing. Give energyKwh instead.", "/endRegisterKwh");
        var last = readings[^1];
        readings[^1] = new MeterEntry(last.StudioId, last.Id, last.FiringId, last.ReadAt, body.EndRegisterKwh!.Value)
        {
            Event = last.Event,
            RollsOverAtKwh = last.RollsOverAtKwh,
            NewRegisterKwh = last.NewRegisterKwh,
            Meter = last.Meter,
            IsShared = last.IsShared,
            KwhPerUnit = last.KwhPerUnit,
        };
        var metered = (await FiringTakes.Of(db, firing, readings, cancellation)).Then<CorrectedTake>(take => new CorrectedTake(take, true));
        return metered.Refusal is { } wrong ? wrong with { Pointer = "/endRegisterKwh" } : metered;
    }

    /// <summary>Energy that is said outright, over the time that was read, or else was planned.</summary>
    private static async Task<FiringTake> Said(KilnShareDb db, Firing firing, decimal kwh, CancellationToken cancellation)
    {
        var read = (await FiringTakes.Read(db, firing, cancellation)).TryGet(out var take, out _) ? take : null;
        var hours = read is null ? (double)firing.FiringHours : (read.To - read.From).TotalHours;
        var power = new PowerCurve([0, hours * 3600], [0, (double)kwh / hours]);
        return new FiringTake(read?.From ?? firing.LitAt ?? firing.StartsAt, power, kwh, true, read?.Basis ?? TakeBasis.Duty);
    }

    /// <summary>Keeps others from correcting this settled firing until the transaction ends; false when it is not settled.</summary>
    public static async Task<bool> Hold(KilnShareDb db, Firing firing, CancellationToken cancellation) =>
        await db.Set<Firing>().Where(f => f.StudioId == firing.StudioId && f.Id == firing.Id && f.State == FiringState.Settled)
            .ExecuteUpdateAsync(set => set.SetProperty(f => f.Version, f => f.Version + 1), cancellation) == 1;

    /// <summary>The next revision: the same price and rules, other energy, other ware or another outcome.</summary>
    public static Result<FiringSettlement> Of(FiringSettlement old, FiringCostBasis basis, decimal kwh, string reason, Id<Member> by, Instant at) =>
        FiringCost.Of(basis, Currency.Parse(old.Currency)!.Value, kwh).Then<FiringSettlement>(cost =>
            new FiringSettlement(old.StudioId, old.FiringId, old.Revision + 1, kwh, cost.Charged, old.Currency, at)
            {
                Basis = basis,
                Reason = reason,
                MemberId = by,
            });

    /// <summary>Settles a settled firing again by what was really in it and how it really came out; null where it is not settled.</summary>
    public static async Task<Result<FiringSettlement?>> Again(
        KilnShareDb db, Firing firing, IReadOnlyList<UsedCopy> copies, string reason, Id<Member> by, Instant at, CancellationToken cancellation)
    {
        if (await FiringCosts.Latest(db, firing, cancellation) is not { } old) return (FiringSettlement?)null;
        if (copies.Count == 0) return Refusal.Rule(
            "bookings.nothing-loaded", "The firing is settled, and with nothing in it there would be nobody to share its cost. Name what was in.", "/placed");
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == firing.StudioId && k.Id == firing.KilnId, cancellation);
        var rules = old.Basis.Rules with { EnergyBasis = KwhOffer.EnergyBasis(old.Basis.Rules, old.Basis.LearntFirings) };
        if (!FiringUses.Of(copies, kiln.Making.Spacing, firing.Aim, rules).TryGet(out var uses, out var refusal)) return refusal;
        var basis = old.Basis with { Uses = uses, Outcome = firing.Outcome ?? FiringOutcome.Sound };
        if (!Of(old, basis, old.EnergyKwh, reason, by, at).TryGet(out var correction, out refusal)) return refusal;
        db.Add(correction);
        db.AddEntries(firing.StudioId, Entries(old, correction));
        return correction;
    }

    /// <summary>The old entries taken back and the new ones.</summary>
    public static IReadOnlyList<LedgerEntry> Entries(FiringSettlement old, FiringSettlement correction)
    {
        var (firing, currency) = (old.FiringId.ToString(), Currency.Parse(old.Currency)!.Value);
        return Settlement.Correction(
            Settlement.Entries(firing, old.SettledAt, currency, old.Split.Shares), firing, correction.SettledAt, currency, correction.Split.Shares);
    }
}
