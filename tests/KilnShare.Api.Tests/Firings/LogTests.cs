using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Firings;

public sealed class LogTests(Service service) : IClassFixture<Service>
{
    // A firing that began eleven hours before the newest reading, which is a few minutes old.
    private static readonly DateTimeOffset Start = TimeProvider.System.GetUtcNow().AddHours(-11).AddMinutes(-5);

    [Fact]
    public async Task Batches_that_come_twice_late_and_out_of_order_are_stored_once()
    {
        var (studio, path) = await Open();
        var all = Climb(0, 600);
        Receipt(await studio.Technician.Post(path, Batch(all[300..])), 300, 0, 0);
        Receipt(await studio.Technician.Post(path, Batch([.. all[..400].Reverse()])), 300, 100, 0);
        Receipt(await studio.Technician.Post(path, Batch(all)), 0, 600, 0);
        var items = new List<JsonElement>();
        for (var after = ""; after is not null;)
        {
            var page = (await studio.Viewer.Get($"{path}?resolution=raw&limit=250{after}")).Expect(HttpStatusCode.OK).Body;
            items.AddRange(page.GetProperty("items").EnumerateArray());
            after = page.GetProperty("next").GetString() is { } next ? "&after=" + next : null;
        }
        Assert.Equal(Enumerable.Range(0, 600).Select(i => (long)i), items.Select(i => i.GetProperty("sequence").GetInt64()));
        Assert.Equal(Math.Round(20 + 599.0, 2), items[^1].GetProperty("celsius").GetDouble());
    }

    [Fact]
    public async Task Batches_sent_by_many_at_once_are_stored_once()
    {
        service.Through = () => new Patient(); // eighty at once wait for each other: on a busy machine some are told to come again
        var (studio, path) = await Open();
        service.Through = null;
        await studio.Technician.Post(path, Batch(Climb(0, 10)));
        // Forty batches of 20 readings, each sent twice at once, every one overlapping the next by half.
        var batches = Enumerable.Range(0, 40).Select(i => Batch(Climb(10 + (i * 10), 20))).ToArray();
        var replies = await Task.WhenAll(batches.Concat(batches).Select(batch => Task.Run(() => studio.Technician.Post(path, batch))));
        Assert.All(replies, r => r.Expect(HttpStatusCode.OK));
        Assert.Equal(410, replies.Sum(r => r.Body.GetProperty("stored").GetInt32()));
        Assert.Equal((80 * 20) - 410, replies.Sum(r => r.Body.GetProperty("repeated").GetInt32()));
        var kept = (await studio.Viewer.Get(path + "?resolution=raw")).Body.GetProperty("items").EnumerateArray()
            .Select(i => i.GetProperty("sequence").GetInt64());
        Assert.Equal(Enumerable.Range(0, 420).Select(i => (long)i), kept);
    }

    [Fact]
    public async Task Fifty_loggers_at_once_each_have_their_log_whole()
    {
        service.Through = () => new Patient();
        var studio = await service.MakeStudio();
        service.Through = null;
        var (paths, now) = (new List<string>(), TimeProvider.System.GetUtcNow());
        for (var kiln = 0; kiln < 5; kiln++)
        {
            var id = await studio.MakeKiln();
            for (var day = 1; day <= 10; day++)
                paths.Add($"{studio.Path}/firings/{await studio.MakePastFiring(id, now.AddDays(-3 * day))}/readings");
        }

        // Three batches of each stream, one of them twice, all at once and in any order.
        (int From, int Count)[] parts = [(0, 20), (20, 20), (40, 20), (20, 20)];
        var batches = paths.SelectMany((path, stream) => parts.Select(part => (path, Batch: Batch(Of(stream, part))))).ToList();
        var replies = await Task.WhenAll(batches.Select(b => Task.Run(() => studio.Technician.Post(b.path, b.Batch))));
        Assert.All(replies, r => r.Expect(HttpStatusCode.OK));
        foreach (var (path, stream) in paths.Select((path, stream) => (path, stream)))
        {
            var kept = (await studio.Viewer.Get(path + "?resolution=raw")).Body.GetProperty("items").EnumerateArray().ToList();
            Assert.Equal(Enumerable.Range(0, 60).Select(i => (long)i), kept.Select(i => i.GetProperty("sequence").GetInt64()));
            Assert.All(kept, i => Assert.Equal(100 + stream, i.GetProperty("celsius").GetDouble(), 0.01));
        }

        object[] Of(int stream, (int From, int Count) part)
        {
            var start = now.AddDays(-3 * (1 + (stream % 10)));
            return [.. Enumerable.Range(part.From, part.Count)
                .Select(i => (object)new { sequence = i, at = start.AddMinutes(i).ToString("yyyy-MM-ddTHH:mm:ssZ"), temperature = 100.0 + stream })];
        }
    }

    [Fact]
    public async Task Absurd_readings_are_refused_by_number_and_the_rest_is_taken()
    {
        var (studio, path) = await Open();
        object[] readings = [Reading(1, 0, 20), Reading(
            2, 60, 1e300), Reading(3, 120, null), Reading(4, 180, 23), Reading(5, 86_400 * 40, 24), Reading(-1, 240, 24), Reading(6, -86_400 * 2, 20)];
        var receipt = Receipt(await studio.Technician.Post(path, Batch(readings)), 2, 0, 5);
        string?[] codes = ["firings.reading-out-of-range", "firings.reading-not-a-number", "firings.reading-in-future", "firings.reading-out-of-range",
            "firings.reading-too-old"];
        Assert.Equal(codes, receipt.GetProperty("refused").EnumerateArray().Select(r => r.GetProperty("code").GetString()).ToArray());
        var contradicts = (await studio.Technician.Post(path, Batch([Reading(4, 180, 60)]))).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("firings.reading-contradicts", contradicts.Code);
    }

    [Theory]
    [InlineData("""{"readings":[]}""")]
    [InlineData("""{"readings":null}""")]
    [InlineData("""{"readings":[null]}""")]
    [InlineData("""{"readings":[{"sequence":1}]}""")]
    [InlineData("""{"readings":[{"sequence":1,"at":"1970-01-01T00:00:00Z","temperature":20}]}""")]
    [InlineData("""{"readings":[{"sequence":1.5,"at":"2026-11-01T00:00:00Z","temperature":20}]}""")]
    [InlineData("""{"readings":[{"sequence":99999999999999999999,"at":"2026-11-01T00:00:00Z","temperature":20}]}""")]
    [InlineData("""{"readings":[{"sequence":1,"at":"2026-11-01T00:00:00Z","temperature":"NaN"}]}""")]
    [InlineData("""{"unit":"kelvin","readings":[{"sequence":1,"at":"2026-11-01T00:00:00Z","temperature":20}]}""")]
    [InlineData("""{"run":-1,"readings":[{"sequence":1,"at":"2026-11-01T00:00:00Z","temperature":20}]}""")]
    [InlineData("""[1,2""")]
    [InlineData("GET / HTTP/1.1")]
    public async Task Junk_is_a_bad_request_and_stores_nothing(string body)
    {
        var (studio, path) = await Open();
        (await studio.Technician.Post(path, body)).Expect(HttpStatusCode.BadRequest);
        Assert.Empty((await studio.Viewer.Get(path + "?resolution=raw")).Body.GetProperty("items").EnumerateArray());
    }

    [Fact]
    public async Task A_draft_has_no_log_and_a_potter_writes_none()
    {
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        var path = $"{studio.Path}/firings/{firing}/readings";
        Assert.Equal("firings.not-fixed", (await studio.Technician.Post(path, Batch(Climb(0, 2)))).Expect(HttpStatusCode.Conflict).Code);
        (await studio.Potter.Post(path, Batch(Climb(0, 2)))).Expect(HttpStatusCode.Forbidden);
        (await studio.Technician.Post($"{studio.Path}/firings/{Guid.NewGuid()}/readings", Batch(Climb(0, 2)))).Expect(HttpStatusCode.NotFound);
    }

    [Fact]
    public async Task A_log_is_read_by_the_minute_with_its_holes_and_in_a_few_figures()
    {
        var (studio, path) = await Open();
        Assert.Equal("firings.no-log", (await studio.Viewer.Get(path + "?resolution=minutes")).Expect(HttpStatusCode.UnprocessableEntity).Code);
        var all = Climb(0, 120);
        await studio.Technician.Post(path, Batch([.. all[..30], .. all[60..]]));
        var minutes = (await studio.Viewer.Get(path + "?resolution=minutes")).Expect(HttpStatusCode.OK).Body.GetProperty("items").EnumerateArray().ToArray();
        Assert.Equal(120, minutes.Length);
        Assert.Equal("null", minutes[45].GetProperty("celsius").GetRawText());
        Assert.Equal(120, minutes[100].GetProperty("celsius").GetDouble());
        var summary = (await studio.Viewer.Get(path + "?resolution=summary")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(30, summary.GetProperty("missing").GetInt64());
        Assert.Equal(31, summary.GetProperty("longestSilenceMinutes").GetDouble());
        Assert.Equal(60, summary.GetProperty("steepestClimbCPerHour").GetDouble());
        (await studio.Viewer.Get(path + "?resolution=seconds")).Expect(HttpStatusCode.BadRequest);
        (await studio.Viewer.Get(path + "?resolution=raw&after=1.2")).Expect(HttpStatusCode.BadRequest);
        (await studio.Viewer.Get(path + "?resolution=raw&limit=0")).Expect(HttpStatusCode.BadRequest);
    }

    [Fact]
    public async Task Progress_tells_the_target_cone_its_time_and_how_far_from_the_schedule_it_is()
    {
        var (studio, path) = await Open("06", 100, 1005);
        // 5 °C ahead of 100 °C/h from 20 °C; cone 06 is down at 1005 °C at 100 °C/h or a little below (the cone maker's table: 998 at 60, 1010 at 150).
        await studio.Technician.Post(path, Batch([.. Enumerable.Range(0, 541).Select(i => Reading(i, i * 60, 20 + (i * 100 / 60.0) + (i > 0 ? 5 : 0)))]));
        var progress = (await studio.Viewer.Get(path.Replace("readings", "firing-progress", StringComparison.Ordinal))).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(925, progress.GetProperty("celsius").GetDouble());
        Assert.Equal(5, progress.GetProperty("deviationC").GetDouble());
        Assert.Equal("06", progress.GetProperty("targetCone").GetProperty("cone").GetString());
        Assert.InRange(progress.GetProperty("targetProgress").GetDouble(), 0.0001, 0.2);
        Assert.False(progress.GetProperty("targetIsDown").GetBoolean());
        Assert.InRange((progress.GetProperty("targetDownAt").GetDateTimeOffset() - Start).TotalHours, 9.6, 9.9);
        Assert.Equal(9.85, (progress.GetProperty("scheduleEndsAt").GetDateTimeOffset() - Start).TotalHours, 0.01);
        // The last reading is two hours old.
        var alarm = Assert.Single(progress.GetProperty("alarms").EnumerateArray());
        Assert.Equal("silent", alarm.GetProperty("kind").GetString());
        Assert.Contains("no safety device", alarm.GetProperty("message").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_report_is_for_firings_that_are_over_and_tells_heat_work_and_alarms()
    {
        var (studio, path) = await Open("06", 100, 1005);
        var report = path.Replace("readings", "firing-report", StringComparison.Ordinal);
        Assert.Equal("firings.not-over", (await studio.Viewer.Get(report)).Expect(HttpStatusCode.Conflict).Code);
        // It climbs as planned, stands still for an hour at 520 °C and goes on from there.
        await studio.Technician.Post(
            path, Batch([.. Enumerable.Range(0, 651).Select(i => Reading(i, i * 60, 20 + (i < 300 ? i : Math.Max(300, i - 60)) * 100 / 60.0))]));
        await studio.Heat(path.Split('/')[^2]);
        (await studio.Technician.Put(path.Replace("readings", "state", StringComparison.Ordinal), new { state = "cooling" })).Expect(HttpStatusCode.OK);
        var answer = (await studio.Viewer.Get(report)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(1003.3, answer.GetProperty("summary").GetProperty("peakC").GetDouble(), 0.1);
        Assert.Equal(-100, answer.GetProperty("worstDeviationC").GetDouble(), 1.0);
        Assert.Contains(answer.GetProperty("alarms").EnumerateArray(), a => a.GetProperty("kind").GetString() == "stall");
        Assert.InRange(answer.GetProperty("degreesFromTarget").GetDouble(), -10, 10);
        Assert.Equal("06", answer.GetProperty("targetCone").GetProperty("cone").GetString());
    }

    private static object Reading(long sequence, double atSeconds, double? temperature) =>
        new { sequence, at = Start.AddSeconds(atSeconds).ToString("O"), temperature };

    private static object[] Climb(int from, int count) => [.. Enumerable.Range(from, count).Select(i => Reading(i, i * 60, 20 + i))];

    private static object Batch(object[] readings) => new { readings };

    private static JsonElement Receipt(Reply reply, int stored, int repeated, int refused)
    {
        var body = reply.Expect(HttpStatusCode.OK).Body;
        Assert.Equal((stored, repeated, refused),
            (body.GetProperty("stored").GetInt32(), body.GetProperty("repeated").GetInt32(), body.GetProperty("refused").GetArrayLength()));
        return body;
    }

    /// <summary>A fixed firing that follows one ramp, and where its readings go.</summary>
    private async Task<(TestStudio Studio, string Path)> Open(string cone = "6", double rateCPerHour = 60, double toC = 1222)
    {
        var studio = await service.MakeStudio();
        var schedule = TestStudio.IdOf(
            await studio.Technician.Post(studio.Path + "/schedules", new { name = "ramp", startC = 20, segments = new[] { new { rateCPerHour, toC } } }));
        var firing = await studio.MakePastFiring(await studio.MakeKiln(), Start, cone, schedule);
        return (studio, $"{studio.Path}/firings/{firing}/readings");
    }
}
