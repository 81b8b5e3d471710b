using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Cones;

public sealed class HeatWorkTests(Service service) : IClassFixture<Service>
{
    private const string Path = "/v1/calculations/heat-work";

    [Fact]
    public async Task A_plain_climb_to_the_tabulated_temperature_brings_its_cone_down_at_the_end()
    {
        // The cone maker's table (2016): self-supporting cone 6 at 60 °C/h is down at 1222 °C; 1202 K at 60 °C/h take 72,120 s.
        var answer = (await Ask(new { series = "selfSupporting", schedule = Climb(60, 1222) })).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(1222, answer.GetProperty("peakC").GetDouble());
        Assert.Equal(20.033, answer.GetProperty("hours").GetDouble());
        Assert.Equal(60, answer.GetProperty("endRateCPerHour").GetDouble());
        Assert.Equal("tabulated", answer.GetProperty("basis").GetString());
        var six = answer.GetProperty("cones").EnumerateArray().Single(c => c.GetProperty("cone").GetString() == "6");
        Assert.Equal(1, six.GetProperty("progress").GetDouble());
        Assert.Equal(72120, six.GetProperty("downAtSeconds").GetDouble());
        Assert.Equal(1222, six.GetProperty("celsius").GetDouble());
        Assert.Equal("6", answer.GetProperty("equivalent").GetProperty("down").GetString());
        Assert.Equal("7", answer.GetProperty("equivalent").GetProperty("next").GetString());
        Assert.Empty(answer.GetProperty("warnings").EnumerateArray());
        Assert.Contains("witness", answer.GetProperty("caution").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Readings_along_a_schedule_answer_like_the_schedule()
    {
        var readings = Enumerable.Range(0, 1203).Select(i => new { atSeconds = i * 60.0, celsius = 20.0 + i }).ToArray();
        var byReadings = (await Ask(new { readings })).Expect(HttpStatusCode.OK).Body;
        var bySchedule = (await Ask(new { schedule = Climb(60, 1222) })).Expect(HttpStatusCode.OK).Body;
        foreach (var field in (string[])["peakC", "hours", "endRateCPerHour", "equivalent", "basis", "warnings"])
            Assert.Equal(bySchedule.GetProperty(field).GetRawText(), byReadings.GetProperty(field).GetRawText());
        // Far beyond 1 the last of eleven digits differs: the integral is taken in other pieces.
        var pairs = bySchedule.GetProperty("cones").EnumerateArray().Zip(byReadings.GetProperty("cones").EnumerateArray());
        Assert.All(pairs, p => Assert.Equal(p.First.GetProperty("progress").GetDouble(), p.Second.GetProperty("progress")
            .GetDouble(), 1e-3 * (1 + p.First.GetProperty("progress").GetDouble())));
    }

    [Fact]
    public async Task Where_no_cone_is_down_there_is_none_and_progress_stays_below_one()
    {
        var answer = (await Ask(new { schedule = Climb(60, 500) })).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("null", answer.GetProperty("equivalent").GetProperty("down").GetRawText());
        Assert.All(answer.GetProperty("cones").EnumerateArray(), c => Assert.InRange(c.GetProperty("progress").GetDouble(), 0, 0.9999));
        Assert.NotEmpty(answer.GetProperty("warnings").EnumerateArray());
    }

    [Theory]
    [InlineData("{}", "/schedule", 400)]
    [InlineData("""{"schedule":null}""", "/schedule", 400)]
    [InlineData("""{"schedule":{"startC":20,"segments":[{"rateCPerHour":60,"toC":1222}]},"readings":[]}""", "/readings", 400)]
    [InlineData("""{"readings":[]}""", "/readings", 400)]
    [InlineData("""{"readings":[{"atSeconds":0,"celsius":20}]}""", "/readings", 400)]
    [InlineData("""{"readings":[{"atSeconds":0,"celsius":20},{"atSeconds":0,"celsius":21}]}""", "/readings/1/atSeconds", 400)]
    [InlineData("""{"readings":[{"atSeconds":0,"celsius":20},{"atSeconds":60,"celsius":2100}]}""", "/readings/1/celsius", 400)]
    [InlineData("""{"readings":[null]}""", "/readings/0", 400)]
    [InlineData("""{"readings":[{"atSeconds":0,"celsius":20},{"atSeconds":9999999,"celsius":21}]}""", "/readings", 400)]
    [InlineData("""{"schedule":{"startC":20,"segments":[]}}""", "/schedule/segments", 400)]
    [InlineData("""{"schedule":{"startC":20,"segments":[null]}}""", "/schedule/segments/0", 400)]
    [InlineData("""{"schedule":{"startC":20,"segments":[{"toC":1222}]}}""", "/schedule/segments/0/rateCPerHour", 422)]
    [InlineData("""{"schedule":{"startC":20,"segments":[{"rateCPerHour":-60,"toC":1222}]}}""", "/schedule/segments/0/rateCPerHour", 400)]
    [InlineData("""{"schedule":{"startC":20,"segments":[{"rateCPerHour":60,"toC":1222,"holdMinutes":-1}]}}""", "/schedule/segments/0/holdMinutes", 400)]
    [InlineData("""{"schedule":{"startC":-400,"segments":[{"rateCPerHour":60,"toC":1222}]}}""", "/schedule/startC", 400)]
    [InlineData("""{"schedule":{"startC":20,"segments":[{"rateCPerHour":0.1,"toC":1222}]}}""", "/schedule/segments", 400)]
    [InlineData("""{"schedule":{"startC":20,"segments":[{"rateCPerHour":60,"toC":1222}]},"series":"small"}""", "/series", 422)]
    public async Task What_is_no_history_is_refused_where_it_is_wrong(string body, string pointer, int status)
    {
        var refused = (await Ask(body)).Expect((HttpStatusCode)status);
        Assert.Equal(pointer, refused.Pointer);
    }

    private static object Climb(double rateCPerHour, double toC) => new { startC = 20, segments = new[] { new { rateCPerHour, toC, holdMinutes = 0 } } };

    private async Task<Reply> Ask(object question) => await (await service.MakeStudio()).Viewer.Post(Path, question);
}
