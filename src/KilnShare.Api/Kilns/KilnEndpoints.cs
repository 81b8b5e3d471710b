using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Storage;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Kilns;

/// <summary>Kilns and their furniture.</summary>
public static class KilnEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapKilns(this RouteGroupBuilder studio)
    {
        var kilns = studio.MapGroup("/kilns").WithTags("Kilns");
        kilns.MapPost("", Create).WithName("createKiln").TakesKey().Answers<KilnAnswer>(201).Refuses(422);
        kilns.MapGet("", List).WithName("listKilns").Answers<Page<KilnAnswer>>();
        kilns.MapGet("/{kilnId:guid}", Read).WithName("readKiln").ReadsFirst<Kiln>("kilnId").Answers<KilnAnswer>();
        kilns.MapKilnEdits();
    }

    /// <summary>Write a kiln down</summary>
    private static async Task<IResult> Create(KilnBody body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await Check(db, caller, body, cancellation) is { } refusal) return Problems.Of(refusal);
        var kiln = new Kiln(caller.StudioId, NewId.Of<Kiln>(clock), body.ToCore(), body.Furniture.ToCore(), clock.GetCurrentInstant())
        {
            TariffId = TariffOf(body),
        };
        db.Add(kiln);
        await db.SaveChangesAsync(cancellation);
        return Versions.Created(context, $"/v1/studios/{caller.StudioId}/kilns/{kiln.Id}", KilnAnswer.Of(kiln), kiln.Version);
    }

    /// <summary>List the kilns</summary>
    private static async Task<IResult> List(Caller caller, HttpContext context, KilnShareDb db, string? after, int? limit, CancellationToken cancellation)
    {
        if (Pages.Read(after, limit, out var from, out var take) is { } refusal) return Problems.Of(refusal);
        var start = new Id<Kiln>(from);
        var rows = await db.Set<Kiln>().AsNoTracking()
            .Where(k => k.StudioId == caller.StudioId && k.ArchivedAt == null && EF.Functions.GreaterThan(ValueTuple.Create(k.Id), ValueTuple.Create(start)))
            .OrderBy(k => k.Id).Take(take + 1).ToListAsync(cancellation);
        return Pages.Answer(context, rows, take, k => k.Id.Value, KilnAnswer.Of);
    }

    /// <summary>Read a kiln</summary>
    private static async Task<IResult> Read(Guid kilnId, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation) =>
        await db.ById<Kiln>(caller.StudioId, kilnId, cancellation) is { } kiln
            ? Versions.Ok(context, KilnAnswer.Of(kiln), kiln.Version) : Problems.Absent();

    /// <summary>What is wrong with a kiln as it is written down or edited; null when there is nothing.</summary>
    internal static async Task<Refusal?> Check(KilnShareDb db, Caller caller, KilnBody body, CancellationToken cancellation)
    {
        if (CheckFurniture(body) is { } furniture) return furniture;
        if (FiringEnergyRules.RefuseKiln(body.Wall.Select(l => l.ToCore()).ToArray(), body.LossFactor, body.Vent?.ToCore()) is { } wall) return wall;
        return TariffOf(body) is { } tariff && await db.FindAsync<StudioTariff>([caller.StudioId, tariff], cancellation) is null
            ? Refusal.Rule("kilns.no-such-tariff", "There is no such tariff in your studio. Write it down first, or check the id.", "/tariffId")
            : null;
    }

    /// <summary>The tariff that a kiln names.</summary>
    internal static Id<StudioTariff>? TariffOf(KilnBody body) => body.TariffId is { } tariff ? new Id<StudioTariff>(tariff) : null;

    /// <summary>A kiln that could never be planned is refused here, not at the first booking.</summary>
    internal static Refusal? CheckFurniture(KilnBody body)
    {
        if (body.Furniture.PostHeights == PostHeights.Any || body.Furniture.Posts.Sum(p => p.Count) < LoadLimits.MinPostsUnderShelf)
            return Refusal.Rule(
                "kilns.no-posts",
                $"A studio's kiln stands its shelves on posts that exist: list {LoadLimits.MinPostsUnderShelf} or more, with postHeights stock.",
                "/furniture/posts");
        return LoadProblem.Create(body.Chamber.ToCore(), body.Furniture.ToCore(), new KilnSpacing(
            body.Spacing.GapMm, body.Spacing.HeadroomMm, body.Spacing.ShelfGapMm), [], [.. body.KeepOuts.Select(k => k.ToCore())]).Refusal;
    }
}
