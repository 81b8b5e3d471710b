using System.Net;
using KilnShare.Api.Tests.Bookings;
using Microsoft.EntityFrameworkCore.Diagnostics;

namespace KilnShare.Api.Tests.Common;

/// <summary>
/// Each check is shown an honest service and one with a mistake in it. (Those about versions, stale reads, walls and locks are in the booking storm.)
/// </summary>
public sealed class PlantedBugTests(TestDatabase database)
{
    // Longer than a service sleeps between two looks for jobs.
    private static readonly TimeSpan LongEnough = TimeSpan.FromMilliseconds(2500);

    [Fact]
    public async Task A_key_written_after_the_commit_is_seen_by_payments_made_twice()
    {
        Assert.Equal(1, await PaymentsUnderOneKey(null));
        Assert.NotEqual(1, await PaymentsUnderOneKey(new PlantedBugs.KeyAfterCommit()));
    }

    [Fact]
    public async Task A_question_without_the_studio_is_stopped_by_the_wall_and_seen_without_it()
    {
        Assert.False(await ShowsStrangersClay(null, null));
        Assert.False(await ShowsStrangersClay(new PlantedBugs.ForgetsStudio(), null));
        Assert.False(await ShowsStrangersClay(null, "alter table clay disable row level security"));
        Assert.True(await ShowsStrangersClay(new PlantedBugs.ForgetsStudio(), "alter table clay disable row level security"));
    }

    [Fact]
    public async Task A_place_given_twice_to_one_who_waits_is_seen_by_the_invariants()
    {
        Assert.Empty(await OffencesOfPromotion(null));
        Assert.Contains(await OffencesOfPromotion(new PlantedBugs.ForgetsVersion(LongEnough)), o => o.StartsWith("promoted-twice", StringComparison.Ordinal));
    }

    private async Task<int> PaymentsUnderOneKey(IInterceptor? bug)
    {
        await using var service = new Service(database) { IsFaulted = bug is not null };
        await service.InitializeAsync();
        await using var broken = bug is null ? null : PlantedBugs.In(service, bug);
        var studio = await service.MakeStudio();
        var owner = broken is null ? studio.Owner : new Caller(broken.CreateClient(), studio.Owner.Token);
        var body = new { memberId = studio.PotterId, kind = "payment", amountMinor = 4_200, reason = "cash" };
        await Task.WhenAll(Enumerable.Range(0, 8).Select(_ => owner.Post(studio.Path + "/payments", body, "once")));
        return (await studio.Owner.Get(studio.Path + "/payments")).Body.GetProperty("items").GetArrayLength();
    }

    private async Task<bool> ShowsStrangersClay(IInterceptor? bug, string? breakDatabase)
    {
        await using var service = new Service(database);
        await service.InitializeAsync();
        await using var broken = bug is null ? null : PlantedBugs.In(service, bug);
        var (studio, stranger) = (await service.MakeStudio(), await service.MakeStudio());
        var clay = await studio.MakeClay();
        if (breakDatabase is not null) await VersionHistory.Run(service.Links.Admin, breakDatabase);
        var caller = broken is null ? stranger.Owner : new Caller(broken.CreateClient(), stranger.Owner.Token);
        return (await caller.Get(stranger.Path + "/clays")).Expect(HttpStatusCode.OK).Text.Contains(clay.ToString(), StringComparison.Ordinal);
    }

    private async Task<IReadOnlyList<string>> OffencesOfPromotion(IInterceptor? bug)
    {
        await using var service = new Service(database) { IsFaulted = true, DoesJobs = false };
        await service.InitializeAsync();
        await using var first = bug is null ? service.Again() : PlantedBugs.In(service, bug);
        await using var second = bug is null ? service.Again() : PlantedBugs.In(service, bug);
        first.CreateClient();
        second.CreateClient();
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var path = $"{studio.Path}/firings/{firing}/bookings";
        var wide = TestStudio.IdOf(
            await studio.Potter.Post(path, Wants(await studio.MakePiece(studio.Potter, clay, glaze, diameterMm: 400, heightMm: 560), false)));
        TestStudio.IdOf(
            await studio.OtherPotter.Post(path, Wants(await studio.MakePiece(studio.OtherPotter, clay, glaze, diameterMm: 400, heightMm: 560), true)));
        (await studio.Potter.Post($"{path}/{wide}/withdrawal")).Expect(HttpStatusCode.OK);
        await VersionHistory.Run(
            service.Links.Admin,
            $"insert into job (studio_id, id, kind, subject, run_at, attempts) select '{studio.Id}', gen_random_uuid(), 'promote', '{firing}', now(), 0 from "
                + $"generate_series(1, 6)");
        for (var tries = 0; tries < 600 && await JobsLeft(service) > 0; tries++) await Task.Delay(100, TestContext.Current.CancellationToken);
        return await Invariants.Offences(service.Links);
    }

    private static object Wants(Guid piece, bool mayWait) => new { pieces = new[] { new { pieceId = piece } }, mayWait };

    private static async Task<long> JobsLeft(Service service)
    {
        await using var connection = new Npgsql.NpgsqlConnection(service.Links.Admin + ";Pooling=false");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        await using var count = new Npgsql.NpgsqlCommand("select count(*) from job where done_at is null", connection);
        return (long)(await count.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
    }
}
