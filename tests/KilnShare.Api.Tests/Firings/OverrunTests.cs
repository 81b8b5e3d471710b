using System.Net;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Firings;

public sealed class OverrunTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task A_kiln_that_is_not_free_in_time_marks_the_next_firing_and_tells_its_people()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        // Planned for 31 h from long ago; it is lit now, and the next one begins in an hour.
        var late = await studio.MakePastFiring(kiln, DateTimeOffset.UtcNow.AddHours(-40));
        var next = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/firings", new
        {
            kilnId = kiln,
            kind = "glaze",
            cone = "6",
            startsAt = DateTimeOffset.UtcNow.AddHours(1).ToString("O"),
            firingHours = 11,
            coolingHours = 20
        }));
        (await studio.Technician.Put($"{studio.Path}/firings/{next}/state", new { state = "accepting" })).Expect(HttpStatusCode.OK);
        var booking = TestStudio.IdOf(await studio.Potter.Post($"{studio.Path}/firings/{next}/bookings",
            new { pieces = new[] { new { pieceId = await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze()) } } }));
        Assert.Equal("null", (await Read(studio, next)).GetProperty("heldUp").GetRawText());
        await studio.Heat(late.ToString());
        var held = (await Read(studio, next)).GetProperty("heldUp");
        Assert.Equal(late, held.GetProperty("byFiringId").GetGuid());
        Assert.InRange(held.GetProperty("until").GetDateTimeOffset(), DateTimeOffset.UtcNow.AddHours(30.5), DateTimeOffset.UtcNow.AddHours(31));
        Assert.Equal([("bookings.held-up", booking), ("firings.held-up", next)], (await Told(studio)).Order());
        var version = (await Read(studio, next)).GetProperty("version").GetInt64();
        (await studio.Technician.Patch($"{studio.Path}/firings/{next}", new { startsAt = DateTimeOffset.UtcNow.AddHours(40).ToString("O") }, $"\"{version}\""))
            .Expect(HttpStatusCode.OK);
        Assert.Equal("null", (await Read(studio, next)).GetProperty("heldUp").GetRawText());
    }

    [Fact]
    public async Task Unloaded_late_into_the_next_firing_it_is_marked_and_unloaded_in_time_it_is_not()
    {
        var studio = await service.MakeStudio();
        foreach (var (hours, isMarked) in ((int, bool)[])[(-2, true), (3, false)])
        {
            var kiln = await studio.MakeKiln();
            var late = await studio.MakePastFiring(kiln, DateTimeOffset.UtcNow.AddHours(-60));
            var next = await studio.MakePastFiring(kiln, DateTimeOffset.UtcNow.AddHours(hours));
            await studio.Heat(late.ToString());
            foreach (var state in (string[])["cooling", "unloaded"])
                (await studio.Technician.Put($"{studio.Path}/firings/{late}/state", new { state })).Expect(HttpStatusCode.OK);
            Assert.Equal(isMarked, (await Read(studio, next)).GetProperty("heldUp").ValueKind == System.Text.Json.JsonValueKind.Object);
        }
    }

    private async Task<List<(string Kind, Guid Subject)>> Told(TestStudio studio)
    {
        await using var source = NpgsqlDataSource.Create(service.Links.Admin);
        await using var command = source.CreateCommand("select kind, payload::jsonb ->> 'id' from outbox where kind like '%.held-up' and studio_id = $1");
        command.Parameters.Add(new NpgsqlParameter<Guid> { TypedValue = studio.Id });
        await using var reader = await command.ExecuteReaderAsync(TestContext.Current.CancellationToken);
        var told = new List<(string Kind, Guid Subject)>();
        while (await reader.ReadAsync(TestContext.Current.CancellationToken)) told.Add((reader.GetString(0), Guid.Parse(reader.GetString(1))));
        return told;
    }

    private static async Task<System.Text.Json.JsonElement> Read(TestStudio studio, Guid firing) =>
        (await studio.Viewer.Get($"{studio.Path}/firings/{firing}")).Expect(HttpStatusCode.OK).Body;
}
