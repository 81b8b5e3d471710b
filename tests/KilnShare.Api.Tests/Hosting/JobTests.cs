using System.Net;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Hosting;

/// <summary>One job that cannot be done keeps none of the others from it, and does not end the service.</summary>
public sealed class JobTests(TestDatabase database)
{
    [Fact]
    public async Task A_job_that_fails_in_a_way_nobody_thought_of_is_put_off_and_the_next_is_done()
    {
        await using var service = new Service(database) { IsFaulted = true };
        await service.InitializeAsync();
        var studio = await service.MakeStudio();
        var (broken, sound) = (await studio.MakeFiring(await studio.MakeKiln()), await studio.MakeFiring(await studio.MakeKiln()));
        await Bookings.VersionHistory.Run(
            service.Links.Admin,
            $"update kiln set furniture = '[]' where id = (select kiln_id from firing where id = '{broken}'); {Job(broken, "now() - interval '1 hour'")}; "
                + $"{Job(sound, "now()")}");
        for (var tries = 0; tries < 600 && await Done(service, sound) == 0; tries++) await Task.Delay(100, TestContext.Current.CancellationToken);
        Assert.Equal((0, 1), (await Done(service, broken), await Done(service, sound)));
        (await studio.Owner.Get(studio.Path)).Expect(HttpStatusCode.OK);

        string Job(Guid firing, string due) =>
            $"insert into job (studio_id, id, kind, subject, run_at, attempts) values ('{studio.Id}', gen_random_uuid(), 'release', '{firing}', {due}, 0)";
    }

    private static async Task<long> Done(Service service, Guid firing)
    {
        await using var connection = new NpgsqlConnection(service.Links.Admin + ";Pooling=false");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        await using var count = new NpgsqlCommand(
            "select count(*) from job where subject = $1 and done_at is not null", connection)
        { Parameters = { new() { Value = firing } } };
        return (long)(await count.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
    }
}
