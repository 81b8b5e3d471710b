using System.Net;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Bookings;

public sealed class WaitingTests(TestDatabase database)
{
    // Room may come free after a booking was refused it and before the booking waits: nobody else would look again.
    [Fact]
    public async Task Who_begins_to_wait_is_looked_at_once_more()
    {
        await using var service = new Service(database) { DoesJobs = false };
        await service.InitializeAsync();
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        foreach (var (potter, state) in new[] { (studio.Potter, "confirmed"), (studio.OtherPotter, "waiting") })
        {
            Assert.Equal(0, await JobsFor(service, firing));
            var wide = new { pieces = new[] { new { pieceId = await studio.MakePiece(potter, clay, glaze, diameterMm: 400, heightMm: 560) } }, mayWait = true };
            var booked = (await potter.Post($"{studio.Path}/firings/{firing}/bookings", wide)).Expect(HttpStatusCode.Created).Body;
            Assert.Equal(state, booked.GetProperty("state").GetString());
        }

        Assert.Equal(1, await JobsFor(service, firing));
    }

    private static async Task<long> JobsFor(Service service, Guid firing)
    {
        await using var connection = new NpgsqlConnection(service.Links.Admin + ";Pooling=false");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        await using var count = new NpgsqlCommand(
            "select count(*) from job where kind = 'promote' and subject = $1 and done_at is null", connection)
        { Parameters = { new() { Value = firing } } };
        return (long)(await count.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
    }
}
