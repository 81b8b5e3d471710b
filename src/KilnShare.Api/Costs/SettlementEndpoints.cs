using KilnShare.Api.Access;
using KilnShare.Api.Bookings;
using KilnShare.Api.Common;
using KilnShare.Api.Energy;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using KilnShare.Storage.Costs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>A firing's cost, shared out.</summary>
public sealed record FiringCostAnswer
{
    /// <summary>By the meter.</summary>
    /// <example>63.4</example>
    public required decimal EnergyKwh { get; init; }

    /// <summary>The bill of that energy by the kiln's tariff, line by line; null where the studio's flat price holds.</summary>
    public required TariffCostContract? EnergyCost { get; init; }

    /// <summary>ISO 4217 code.</summary>
    /// <example>EUR</example>
    public required string Currency { get; init; }

    /// <summary>Who bears what.</summary>
    public required CostSplitAnswerContract Split { get; init; }

    /// <summary>How each part was divided, in a sentence.</summary>
    public required IReadOnlyDictionary<string, string> Reasons { get; init; }
}

/// <summary>A settlement.</summary>
public sealed record SettlementAnswer
{
    /// <summary>The firing.</summary>
    public required Guid FiringId { get; init; }

    /// <summary>1, and one more for each correction.</summary>
    public required int Revision { get; init; }

    /// <summary>The energy shared.</summary>
    public required decimal EnergyKwh { get; init; }

    /// <summary>ISO 4217 code.</summary>
    public required string Currency { get; init; }

    /// <summary>Who bears what.</summary>
    public required CostSplitAnswerContract Split { get; init; }

    /// <summary>When.</summary>
    public required Instant SettledAt { get; init; }

    /// <summary>The answer for a settlement.</summary>
    public static SettlementAnswer Of(FiringSettlement settlement) => new()
    {
        FiringId = settlement.FiringId.Value,
        Revision = settlement.Revision,
        EnergyKwh = settlement.EnergyKwh,
        Currency = settlement.Currency,
        Split = CostSplitAnswerContract.Of(settlement.Split),
        SettledAt = settlement.SettledAt,
    };
}

/// <summary>A firing's cost and its settlement into the books.</summary>
public static class SettlementEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapSettlements(this RouteGroupBuilder studio)
    {
        var firing = studio.MapGroup("/firings/{firingId:guid}").WithTags("Costs");
        firing.MapGet("/cost-split", ReadSplit).WithName("readFiringCostSplit").Answers<FiringCostAnswer>().Refuses(422);
        firing.MapPost("/settlement", Settle).WithName("settleFiring").Answers<SettlementAnswer>(201).Refuses(409, 422);
        firing.MapGet("/settlement", Read).WithName("readSettlement").Answers<SettlementAnswer>();
    }

    /// <summary>Read how a firing's cost would divide</summary>
    private static async Task<IResult> ReadSplit(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (!(await FiringCosts.Read(db, firing, cancellation)).TryGet(out var costs, out var refusal)) return Problems.Of(refusal);
        return TypedResults.Ok(new FiringCostAnswer
        {
            EnergyKwh = costs.EnergyKwh,
            EnergyCost = costs.Energy is { } energy ? TariffCostContract.Of(energy) : null,
            Currency = costs.Currency.Code,
            Split = CostSplitAnswerContract.Of(costs.Split),
            Reasons = costs.Request.Parts.ToDictionary(p => p.Name, p => SplitReasons.Sentence(p.Basis), StringComparer.Ordinal),
        });
    }

    /// <summary>Settle a firing</summary>
    /// <remarks>Writes every share into the books, in one transaction, once. Needs an Idempotency-Key.</remarks>
    private static async Task<IResult> Settle(
        Guid firingId, Caller caller, HttpContext context, KilnShareDb db, Idempotency idempotency, IClock clock, CancellationToken cancellation)
    {
        if (!Idempotency.Read(context, "settle").TryGet(out var key, out var refusal)) return Problems.Of(refusal);
        if (await idempotency.Replay(caller, key, cancellation) is { } before) return before;
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (FiringStates.Check(firing.State, FiringState.Settled) is { } early)
            return Problems.Of(firing.State == FiringState.Settled ? Settled() : early);
        if (!(await FiringCosts.Read(db, firing, cancellation)).TryGet(out var costs, out refusal)) return Problems.Of(refusal);
        var settlement = new FiringSettlement(caller.StudioId, firing.Id, 1, costs.EnergyKwh, costs.Split, costs.Currency.Code, clock.GetCurrentInstant());
        var answer = SettlementAnswer.Of(settlement);
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        if (!await idempotency.Claim(caller, key, StatusCodes.Status201Created, answer, cancellation)) return (await idempotency.Replay(caller, key, cancellation))!;
        if (!await TakeState(db, firing, cancellation)) return Problems.Of(Settled());
        db.Add(settlement);
        db.AddEntries(caller.StudioId, Settlement.Entries(firing.Id.ToString(), settlement.SettledAt, costs.Currency, costs.Split.Shares));
        BookingRows.Note(db, caller.StudioId, caller.MemberId, "firings.settled", firingId, clock);
        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
        return TypedResults.Created($"/v1/studios/{caller.StudioId}/firings/{firingId}/settlement", answer);
    }

    /// <summary>Read a firing's settlement</summary>
    private static async Task<IResult> Read(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation) =>
        await db.Set<FiringSettlement>().AsNoTracking().Where(s => s.StudioId == caller.StudioId && s.FiringId == new Id<Firing>(firingId))
            .OrderByDescending(s => s.Revision).FirstOrDefaultAsync(cancellation) is { } settlement
            ? TypedResults.Ok(SettlementAnswer.Of(settlement)) : Problems.Absent();

    private static async Task<bool> TakeState(KilnShareDb db, Firing firing, CancellationToken cancellation) =>
        await db.Set<Firing>().Where(f => f.StudioId == firing.StudioId && f.Id == firing.Id && f.State == FiringState.Unloaded)
            .ExecuteUpdateAsync(set => set.SetProperty(f => f.State, FiringState.Settled).SetProperty(f => f.Version, f => f.Version + 1), cancellation) == 1;

    private static Refusal Settled() => Refusal.Conflict("costs.already-settled", "This firing is settled. Read its settlement.");
}
