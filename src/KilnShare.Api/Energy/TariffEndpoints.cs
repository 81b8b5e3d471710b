using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Energy;

/// <summary>What the studio pays for electricity.</summary>
public static class TariffEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapTariffs(this RouteGroupBuilder studio)
    {
        var tariffs = studio.MapGroup("/tariffs").WithTags("Energy");
        tariffs.MapPost("", Create).WithName("createTariff").TakesKey().Answers<TariffAnswer>(201).Refuses(422);
        tariffs.MapGet("", List).WithName("listTariffs").Answers<Page<TariffAnswer>>();
        tariffs.MapGet("/{tariffId:guid}", Read).WithName("readTariff").ReadsFirst<StudioTariff>("tariffId").Answers<TariffAnswer>();
    }

    /// <summary>Write a tariff down</summary>
    /// <remarks>In the studio's currency, by the clock of its zone. A kiln that names it has its metered firings billed by it.</remarks>
    private static async Task<IResult> Create(TariffBody body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        var studio = await StudioOf(db, caller, cancellation);
        if (body.Currency != studio.Currency)
            return Problems.Of(
                Refusal.Rule("energy.other-currency", $"The studio keeps its books in {studio.Currency}. Write the tariff in that currency.", "/currency"));
        if (body.ToCore().In(DateTimeZoneProviders.Tzdb[studio.TimeZone]).Refusal is { } refusal) return Problems.Of(refusal);
        var tariff = new StudioTariff(caller.StudioId, NewId.Of<StudioTariff>(clock), body.Name, body.ToTerms(), clock.GetCurrentInstant());
        db.Add(tariff);
        Trail.Note(db, caller.StudioId, caller.MemberId, "tariffs.create", tariff.Id.Value, clock);
        await db.SaveChangesAsync(cancellation);
        return Versions.Created(context, $"/v1/studios/{caller.StudioId}/tariffs/{tariff.Id}", TariffAnswer.Of(tariff, studio.TimeZone), tariff.Version);
    }

    /// <summary>List the tariffs</summary>
    private static async Task<IResult> List(Caller caller, HttpContext context, KilnShareDb db, string? after, int? limit, CancellationToken cancellation)
    {
        if (Pages.Read(after, limit, out var from, out var take) is { } refusal) return Problems.Of(refusal);
        var start = new Id<StudioTariff>(from);
        var zone = (await StudioOf(db, caller, cancellation)).TimeZone;
        var rows = await db.Set<StudioTariff>().AsNoTracking()
            .Where(t => t.StudioId == caller.StudioId && EF.Functions.GreaterThan(ValueTuple.Create(t.Id), ValueTuple.Create(start)))
            .OrderBy(t => t.Id).Take(take + 1).ToListAsync(cancellation);
        return Pages.Answer(context, rows, take, t => t.Id.Value, t => TariffAnswer.Of(t, zone));
    }

    /// <summary>Read a tariff</summary>
    private static async Task<IResult> Read(Guid tariffId, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.ById<StudioTariff>(caller.StudioId, tariffId, cancellation) is not { } tariff) return Problems.Absent();
        return Versions.Ok(context, TariffAnswer.Of(tariff, (await StudioOf(db, caller, cancellation)).TimeZone), tariff.Version);
    }

    /// <summary>What a metered firing costs by its kiln's tariff; null where the kiln names none.</summary>
    internal static async Task<Result<TariffCost>?> CostOf(KilnShareDb db, Firing firing, FiringTake take, CancellationToken cancellation)
    {
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == firing.StudioId && k.Id == firing.KilnId, cancellation);
        if (kiln.TariffId is not { } named) return null;
        var studio = await db.Set<Studio>().AsNoTracking().SingleAsync(s => s.StudioId == firing.StudioId, cancellation);
        var tariff = await db.Set<StudioTariff>().AsNoTracking().SingleAsync(t => t.StudioId == kiln.StudioId && t.Id == named, cancellation);
        return tariff.Terms.In(DateTimeZoneProviders.Tzdb[studio.TimeZone]).Then(terms => terms.Cost(take.Power, take.From));
    }

    private static Task<Studio> StudioOf(KilnShareDb db, Caller caller, CancellationToken cancellation) =>
        db.Set<Studio>().AsNoTracking().SingleAsync(s => s.StudioId == caller.StudioId, cancellation);
}
