using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Costs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>The studio's cost rules.</summary>
public static class CostRulesEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapCostRules(this RouteGroupBuilder studio)
    {
        studio.MapGet("/cost-rules", Read).WithTags("Costs").WithName("readCostRules").Answers<CostRulesAnswer>();
        studio.MapPut("/cost-rules", Write).WithTags("Costs").WithName("writeCostRules").Answers<CostRulesAnswer>().Refuses(412, 422, 428);
    }

    /// <summary>Read the studio's cost rules</summary>
    private static async Task<IResult> Read(HttpContext context, KilnShareDb db, CancellationToken cancellation)
    {
        var stored = await db.Set<StudioCostRules>().AsNoTracking().SingleOrDefaultAsync(cancellation);
        return await Answer(context, db, stored?.Rules ?? CostRules.Usual, stored?.Version ?? 0, cancellation);
    }

    /// <summary>Write the studio's cost rules</summary>
    /// <remarks>
    /// They hold for firings settled from now on; what is settled stays as it is, also when its meter is corrected. Needs If-Match with the ETag of
    /// the rules read before.
    /// </remarks>
    private static async Task<IResult> Write(
        CostRulesBody body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await FindStranger(body, db, cancellation) is { } refusal) return Problems.Of(refusal);
        var stored = await db.Set<StudioCostRules>().SingleOrDefaultAsync(cancellation);
        if (Versions.Check(context, stored?.Version ?? 0) is { } stale) return stale;
        if (stored is null) db.Add(stored = new StudioCostRules(caller.StudioId, body.ToCore()));
        else stored.Version++;
        stored.Rules = body.ToCore();
        if (stored.Rules.VatPercent > 0) await db.OpenAccount(caller.StudioId, Account.Vat, cancellation);
        Trail.Note(db, caller.StudioId, caller.MemberId, "cost-rules.write", caller.StudioId.Value, clock);
        try
        {
            await db.SaveChangesAsync(cancellation);
        }
        catch (DbUpdateException e) when (e is DbUpdateConcurrencyException || Postgres.ConstraintOf(e) == "pk_cost_rules")
        {
            return Versions.Stale(null);
        }

        return await Answer(context, db, stored.Rules, stored.Version, cancellation);
    }

    private static async Task<IResult> Answer(HttpContext context, KilnShareDb db, CostRules rules, long version, CancellationToken cancellation)
    {
        var names = await StudioReading.NamesOf(db, rules.Discounts.Select(d => d.Member), cancellation);
        return Versions.Ok(context, CostRulesAnswer.Of(rules, version, await StudioReading.CurrencyOf(db, cancellation), names), version);
    }

    private static async Task<Refusal?> FindStranger(CostRulesBody body, KilnShareDb db, CancellationToken cancellation)
    {
        var ids = body.Discounts.Select(d => new Id<Member>(d.MemberId)).ToList();
        var known = await db.Set<Member>().Where(m => ids.Contains(m.Id)).Select(m => m.Id).ToListAsync(cancellation);
        var stranger = ids.FindIndex(id => !known.Contains(id));
        return stranger < 0 ? null : PaymentEndpoints.NoSuchMember($"/discounts/{stranger}/memberId");
    }
}
