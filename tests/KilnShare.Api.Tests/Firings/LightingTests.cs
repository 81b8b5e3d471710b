using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Firings;

public sealed class LightingTests(Service service) : IClassFixture<Service>
{
    private static readonly DateTimeOffset Start = new(
        DateTimeOffset.UtcNow.AddHours(-9).Ticks / TimeSpan.TicksPerMinute * TimeSpan.TicksPerMinute, TimeSpan.Zero);

    [Fact]
    public async Task Without_the_checks_a_kiln_is_lit_only_where_somebody_answers_for_it()
    {
        var (studio, path) = await Loaded();
        var refused = await studio.Technician.Put(path + "/state", new { state = "heating" });
        Assert.Equal("firings.not-checked", refused.Expect(HttpStatusCode.Conflict).Code);
        (await studio.Technician.Put(path + "/lighting-checks", Checks(ventOn: false))).Expect(HttpStatusCode.OK);
        Assert.Contains("the vent does not run", (await studio.Technician.Put(path + "/state", new { state = "heating" }))
            .Expect(HttpStatusCode.Conflict).Text, StringComparison.Ordinal);
        var lit = (await studio.Technician.Put(path + "/state", new { state = "heating", answeredBy = "Tilo", litAt = Start })).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(("heating", true, "Tilo", Start), (lit.GetProperty("state").GetString(), lit.GetProperty("litWithoutChecks")
            .GetBoolean(), lit.GetProperty("answeredBy").GetString(), lit.GetProperty("litAt").GetDateTimeOffset()));
        Assert.Equal(1, await Told(studio, "firings.lit-without-checks"));
    }

    [Fact]
    public async Task With_the_checks_it_is_lit_and_nobody_has_to_answer()
    {
        var (studio, path) = await Loaded();
        (await studio.Technician.Put(path + "/lighting-checks", Checks())).Expect(HttpStatusCode.OK);
        Assert.Equal("firings.lit-in-future", (await studio.Technician.Put(
            path + "/state", new { state = "heating", litAt = DateTimeOffset.UtcNow.AddHours(1) })).Expect(HttpStatusCode.UnprocessableEntity).Code);
        var lit = (await studio.Technician.Put(path + "/state", new { state = "heating", answeredBy = "Tilo" })).Expect(HttpStatusCode.OK).Body;
        Assert.False(lit.GetProperty("litWithoutChecks").GetBoolean());
        Assert.Equal(JsonValueKind.Null, lit.GetProperty("answeredBy").ValueKind);
        // Nobody said when it was switched on, and there is no log yet: the moment of the request is not taken for it.
        Assert.Equal(JsonValueKind.Null, lit.GetProperty("litAt").ValueKind);
        (await studio.Technician.Post(path + "/readings", Climb(0, 60, 30))).Expect(HttpStatusCode.OK);
        Assert.Equal(Start.AddMinutes(30), (await studio.Viewer.Get(path)).Body.GetProperty("litAt").GetDateTimeOffset());
        Assert.Equal(0, await Told(studio, "firings.lit-without-checks"));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Readings_that_show_heat_make_a_firing_heating_marked_and_told(bool loaded)
    {
        var (studio, path) = await Loaded(loaded);
        (await studio.Technician.Post(path + "/readings", Climb(0, 40, 30))).Expect(HttpStatusCode.OK);
        Assert.Equal(loaded ? "loaded" : "fixed", (await studio.Viewer.Get(path)).Body.GetProperty("state").GetString());
        (await studio.Technician.Post(path + "/readings", Climb(40, 60, 30))).Expect(HttpStatusCode.OK);
        var hot = (await studio.Viewer.Get(path)).Body;
        Assert.Equal(("heating", true, Start.AddMinutes(30)),
            (hot.GetProperty("state").GetString(), hot.GetProperty("litWithoutChecks").GetBoolean(), hot.GetProperty("litAt").GetDateTimeOffset()));
        Assert.Equal(1, await Told(studio, "firings.lit-without-checks"));
        Assert.Equal(1, await Told(studio, "firings.heating"));
        (await studio.Viewer.Get(path + "/firing-progress")).Expect(HttpStatusCode.OK);

        // The load is written late where nobody wrote it, and whoever gives the command then answers for what is so already.
        if (!loaded) (await studio.Technician.Put(path + "/load", new { placed = Array.Empty<object>() })).Expect(HttpStatusCode.OK);
        Assert.Equal("heating", (await studio.Viewer.Get(path)).Body.GetProperty("state").GetString());
        Assert.Equal("firings.not-checked", (await studio.Technician.Put(path + "/state", new { state = "heating" })).Expect(HttpStatusCode.Conflict).Code);
        var answered = (await studio.Technician.Put(path + "/state", new { state = "heating", answeredBy = "Ada" })).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(("Ada", Start.AddMinutes(30)), (answered.GetProperty("answeredBy").GetString(), answered.GetProperty("litAt").GetDateTimeOffset()));
        Assert.Equal("firings.no-such-step", (await studio.Technician.Put(path + "/state", new { state = "heating", answeredBy = "Ada" }))
            .Expect(HttpStatusCode.Conflict).Code);
    }

    [Fact]
    public async Task A_loaded_kiln_whose_logger_came_late_is_hot_all_the_same()
    {
        var (studio, path) = await Loaded();
        (await studio.Technician.Post(path + "/readings", Batch([.. Enumerable.Range(0, 5).Select(i => Reading(i, i, 612))]))).Expect(HttpStatusCode.OK);
        var hot = (await studio.Viewer.Get(path)).Body;
        Assert.Equal("heating", hot.GetProperty("state").GetString());
        Assert.Equal(JsonValueKind.Null, hot.GetProperty("litAt").ValueKind);
    }

    [Fact]
    public async Task A_command_and_readings_that_show_heat_at_once_light_it_once()
    {
        var studio = await service.MakeStudio();
        for (var turn = 0; turn < Races.Tries; turn++)
        {
            var path = $"{studio.Path}/firings/{await studio.MakePastFiring(await studio.MakeKiln(), Start)}";
            (await studio.Technician.Put(path + "/load", new { placed = Array.Empty<object>() })).Expect(HttpStatusCode.OK);
            var replies = await Races.AtOnce(
                () => studio.Technician.Put(path + "/state", new { state = "heating", answeredBy = "Tilo" }),
                () => studio.Technician.Post(path + "/readings", Climb(0, 60, 10)),
                () => studio.Technician.Post(path + "/readings", Climb(60, 60, 10)));
            Assert.All(replies, r => r.Expect(HttpStatusCode.OK));
            var lit = (await studio.Viewer.Get(path)).Body;
            Assert.Equal(("heating", "Tilo", Start.AddMinutes(10)),
                (lit.GetProperty("state").GetString(), lit.GetProperty("answeredBy").GetString(), lit.GetProperty("litAt").GetDateTimeOffset()));
        }
    }

    private static object Checks(bool ventOn = true) =>
        new { ventOn, witnessConesPlaced = true, plugsAsWanted = true, shelvesWashed = true, nothingFlammableNear = true, presentAtEnd = "Tilo" };

    /// <summary>A reading a minute: cold for so many minutes, then 100 °C an hour.</summary>
    private static object Climb(int from, int count, int coldMinutes) =>
        Batch([.. Enumerable.Range(from, count).Select(i => Reading(i, i, 18 + (Math.Max(0, i - coldMinutes) * 100 / 60.0)))]);

    private static object Reading(int sequence, int minute, double temperature) => new { sequence, at = Start.AddMinutes(minute).ToString("O"), temperature };

    private static object Batch(object[] readings) => new { readings };

    private async Task<long> Told(TestStudio studio, string kind)
    {
        await using var source = NpgsqlDataSource.Create(service.Links.Admin);
        await using var command = source.CreateCommand("select count(*) from outbox where kind = $1 and studio_id = $2");
        command.Parameters.Add(new NpgsqlParameter<string> { TypedValue = kind });
        command.Parameters.Add(new NpgsqlParameter<Guid> { TypedValue = studio.Id });
        return (long)(await command.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
    }

    private async Task<(TestStudio Studio, string Path)> Loaded(bool loaded = true)
    {
        var studio = await service.MakeStudio();
        var path = $"{studio.Path}/firings/{await studio.MakePastFiring(await studio.MakeKiln(), Start)}";
        if (loaded) (await studio.Technician.Put(path + "/load", new { placed = Array.Empty<object>() })).Expect(HttpStatusCode.OK);
        return (studio, path);
    }
}
