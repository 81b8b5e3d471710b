using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using KilnShare.Storage.Costs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>A firing's cost and its settlement into the books.</summary>
public static class SettlementEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapSettlements(this RouteGroupBuilder studio)
    {
        var firing = studio.MapGroup("/firings/{firingId:guid}").WithTags("Costs");
        firing.MapGet("/cost-split", ReadSplit).WithName("readFiringCostSplit").Answers<FiringCostAnswer>().Refuses(422);
        firing.MapPost("/settlement", Settle).WithName("settleFiring").NeedsKey().Answers<SettlementAnswer>(201).Refuses(409, 422);
        firing.MapPost("/settlement/corrections", Correct).WithName("correctSettlement").NeedsKey().Answers<SettlementAnswer>(201).Refuses(409, 422);
        firing.MapGet("/settlement", Read).WithName("readSettlement").Answers<SettlementAnswer>();
    }

    /// <summary>Read how a firing's cost would divide</summary>
    private static async Task<IResult> ReadSplit(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (!(await FiringCosts.Read(db, firing, cancellation)).TryGet(out var costs, out var refusal)) return Problems.Of(refusal);
        var names = await StudioReading.NamesOf(db, costs.Basis.Rules.Discounts.Select(d => d.Member), cancellation);
        return TypedResults.Ok(FiringCostAnswer.Of(costs, names, costs.ViewOf(await StudioReading.ReadStudio(db, cancellation), caller)));
    }

    /// <summary>Settle a firing</summary>
    /// <remarks>
    /// Writes every share into the books, in one transaction, once. Energy that cannot be (more than the kiln's power gives, less than its ware holds,
    /// gas at the price of electricity, a wrong unit) is refused with the reason; an owner settles it all the same by naming the code under overrule.
    /// Without that the body is left out. Needs an Idempotency-Key.
    /// </remarks>
    private static async Task<IResult> Settle(
        Guid firingId, SettlementBody? body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (FiringStates.Check(firing.State, FiringState.Settled) is { } early)
            return Problems.Of(firing.State == FiringState.Settled ? Settled() : early);
        if (!(await FiringCosts.Read(db, firing, cancellation)).TryGet(out var costs, out var refusal)) return Problems.Of(refusal);
        if (EnergyClaims.Check(costs.Doubts, body?.Overrule ?? [], caller) is { } doubtful) return Problems.Of(doubtful);
        var settlement = new FiringSettlement(
            caller.StudioId, firing.Id, 1, costs.Cost.EnergyKwh, costs.Cost.Charged, costs.Currency.Code, clock.GetCurrentInstant())
        {
            Basis = costs.Basis with { Overruled = EnergyClaims.Kept(costs.Doubts, body?.Reason, caller) },
            MemberId = caller.MemberId,
        };
        var answer = SettlementAnswer.Of(settlement, AmountsView.Everything);
        if (!await TakeState(db, firing, cancellation)) return Problems.Of(Settled());
        db.Add(settlement);
        db.AddEntries(caller.StudioId, Settlement.Entries(firing.Id.ToString(), settlement.SettledAt, costs.Currency, settlement.Split.Shares));
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.settled", firingId, clock);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Created($"/v1/studios/{caller.StudioId}/firings/{firingId}/settlement", answer);
    }

    /// <summary>Correct a settlement after a misread meter</summary>
    /// <remarks>
    /// Takes the old entries back and writes the new ones, in one transaction; divides by the same load, price and rules as before. Needs an
    /// Idempotency-Key.
    /// </remarks>
    private static async Task<IResult> Correct(
        Guid firingId, CorrectionBody body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (!(await SettlementCorrection.EnergyOf(db, firing, body, cancellation)).TryGet(out var energy, out var refusal)) return Problems.Of(refusal);
        if (!await SettlementCorrection.Hold(db, firing, cancellation) || await FiringCosts.Latest(db, firing, cancellation) is not { } old)
            return Problems.Of(Refusal.Conflict("costs.not-settled", "This firing is not settled yet: put its meter readings right and settle it."));
        var doubts = await EnergyClaims.DoubtsOfCorrection(db, firing, energy, old.Basis, cancellation);
        if (EnergyClaims.Check(doubts, body.Overrule, caller) is { } doubtful) return Problems.Of(doubtful);
        var basis = old.Basis with { Overruled = EnergyClaims.Kept(doubts, body.Reason, caller) };
        if (!SettlementCorrection.Of(old, basis, energy.Take.Kwh, body.Reason, caller.MemberId, clock.GetCurrentInstant())
            .TryGet(out var correction, out refusal)) return Problems.Of(refusal);
        var answer = SettlementAnswer.Of(correction, AmountsView.Everything);
        db.Add(correction);
        db.AddEntries(caller.StudioId, SettlementCorrection.Entries(old, correction));
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.settlement-corrected", firingId, clock);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Created($"/v1/studios/{caller.StudioId}/firings/{firingId}/settlement", answer);
    }

    /// <summary>Read a firing's settlement</summary>
    private static async Task<IResult> Read(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing
            || await FiringCosts.Latest(db, firing, cancellation) is not { } settlement)
            return Problems.Absent();
        var studio = await StudioReading.ReadStudio(db, cancellation);
        return TypedResults.Ok(SettlementAnswer.Of(settlement, AmountsView.Of(studio.AmountsShownTo, caller.Role, caller.MemberId, settlement.Split)));
    }

    private static async Task<bool> TakeState(KilnShareDb db, Firing firing, CancellationToken cancellation) =>
        await db.Set<Firing>().Where(f => f.StudioId == firing.StudioId && f.Id == firing.Id && f.State == FiringState.Unloaded)
            .ExecuteUpdateAsync(set => set.SetProperty(f => f.State, FiringState.Settled).SetProperty(f => f.Version, f => f.Version + 1), cancellation) == 1;

    private static Refusal Settled() => Refusal.Conflict("costs.already-settled", "This firing is settled. Read its settlement.");
}
