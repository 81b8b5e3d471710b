using System.Globalization;
using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Firings;

/// <summary>A logger's file is read and goes the way of any batch.</summary>
public sealed class LogCsvTests(Service service) : IClassFixture<Service>
{
    private static readonly DateTimeOffset Start = TimeProvider.System.GetUtcNow().AddHours(-11);

    [Fact]
    public async Task A_file_is_stored_once_and_what_it_was_taken_to_be_is_told()
    {
        var (studio, path) = await Open();
        var file = "Time (min);Temperature (°C);Set point (°C)\n" + string.Concat(Enumerable.Range(0, 60).Select(i => $"{i};{20 + i},5;{21 + i},0\n"));
        var first = (await Send(studio, path + Since, file)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal((60, 0, 0), Counts(first));
        var recognised = first.GetProperty("recognised");
        Assert.Equal("semicolon", recognised.GetProperty("separator").GetString());
        Assert.Equal("comma", recognised.GetProperty("decimalMark").GetString());
        Assert.Equal("celsius", recognised.GetProperty("unit").GetString());
        Assert.Equal("minutes", recognised.GetProperty("timeForm").GetString());
        Assert.Equal(1, recognised.GetProperty("headerLine").GetInt32());
        Assert.Equal(["time", "temperature", "setPoint"], recognised.GetProperty("columns").EnumerateArray()
            .Select(c => c.GetProperty("takenFor").GetString()));
        Assert.Equal((0, 60, 0), Counts((await Send(studio, path + Since, file)).Expect(HttpStatusCode.OK).Body));
        var kept = (await studio.Viewer.Get(path + "?resolution=raw")).Body.GetProperty("items").EnumerateArray().ToList();
        Assert.Equal(Enumerable.Range(0, 60).Select(i => 20.5 + i), kept.Select(r => r.GetProperty("celsius").GetDouble()));
        Assert.Equal(Enumerable.Range(0, 60)
            .Select(i => i * 60.0), kept.Select(r => (r.GetProperty("at").GetDateTimeOffset() - kept[0].GetProperty("at").GetDateTimeOffset()).TotalSeconds));
    }

    [Fact]
    public async Task A_file_and_a_batch_of_the_same_readings_are_one_log()
    {
        var (studio, path) = await Open();
        var readings = Enumerable.Range(1, 5)
            .Select(i => (Number: i, At: Start.AddMinutes(i).ToString("yyyy-MM-ddTHH:mm:ssZ", CultureInfo.InvariantCulture), Celsius: 20.0 + i)).ToArray();
        await studio.Technician.Post(
            path, new { unit = "celsius", readings = readings.Select(r => new { sequence = r.Number, at = r.At, temperature = r.Celsius }) });
        var file = "No,Time,Temperature F\n" + string.Concat(
            readings.Append((6, Start.AddMinutes(6).ToString("yyyy-MM-ddTHH:mm:ssZ", CultureInfo.InvariantCulture), 26.0))
            .Select(r => string.Create(CultureInfo.InvariantCulture, $"{r.Item1},{r.Item2},{(r.Item3 * 1.8) + 32}\n")));
        Assert.Equal((1, 5, 0), Counts((await Send(studio, path, file)).Expect(HttpStatusCode.OK).Body));
    }

    [Fact]
    public async Task Readings_that_cannot_be_are_refused_by_number_as_in_any_batch()
    {
        var (studio, path) = await Open();
        var some = (await Send(studio, path + Since, "time;°C\n0;20\n1;9999\n2;\n3;21\n")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal((2, 0, 2), Counts(some));
        Assert.Equal([3L, 4L], some.GetProperty("refused").EnumerateArray().Select(r => r.GetProperty("sequence").GetInt64()));
        var none = (await Send(studio, path + Since, "time;°C\n9;9999\n")).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal(("firings.reading-out-of-range", null), (none.Code, none.Pointer));
        Assert.Equal("firings.batch-too-large", (await Send(studio, path + Since, "time;°C\n" + string.Concat(Enumerable.Repeat("0;20\n", 10_001))))
            .Expect(HttpStatusCode.BadRequest).Code);
    }

    [Theory]
    [InlineData("time;°C\n0;hot\n", HttpStatusCode.BadRequest, "firings.csv-number")]
    [InlineData("hello", HttpStatusCode.BadRequest, "firings.csv-no-header")]
    [InlineData("", HttpStatusCode.BadRequest, "firings.empty-batch")]
    [InlineData("time;temperature\n0;20\n", HttpStatusCode.BadRequest, "firings.csv-unit")]
    public async Task Junk_is_refused_and_stores_nothing(string file, HttpStatusCode status, string code)
    {
        var (studio, path) = await Open();
        Assert.Equal(code, (await Send(studio, path + Since, file)).Expect(status).Code);
        Assert.Empty((await studio.Viewer.Get(path + "?resolution=raw")).Body.GetProperty("items").EnumerateArray());
    }

    [Fact]
    public async Task The_start_is_needed_and_must_be_a_time_and_the_file_is_CSV_from_a_technician()
    {
        var (studio, path) = await Open();
        const string File = "time;°C\n0;20\n";
        Assert.Equal("firings.csv-without-start", (await Send(studio, path, File)).Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("/startedAt", (await Send(studio, path + Since.Replace(Since[^4..], "soon", StringComparison.Ordinal), File))
            .Expect(HttpStatusCode.BadRequest).Pointer);
        (await studio.Technician.Send(HttpMethod.Post, Path(path + Since), "{}", contentType: "application/json")).Expect(HttpStatusCode.UnsupportedMediaType);
        (await studio.Technician.Send(HttpMethod.Post, Path(path + Since), File, contentType: "text/plain")).Expect(HttpStatusCode.UnsupportedMediaType);
        (await studio.Potter.Send(HttpMethod.Post, Path(path + Since), File, contentType: "text/csv")).Expect(HttpStatusCode.Forbidden);
        var draft = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln())}/readings";
        Assert.Equal("firings.not-fixed", (await Send(studio, draft + Since, File)).Expect(HttpStatusCode.Conflict).Code);
        Assert.Equal((1, 0, 0), Counts(
            (await Send(studio, path + Since.Replace("Z", "%2B00:00", StringComparison.Ordinal) + "&unit=celsius", File)).Expect(HttpStatusCode.OK).Body));
        // A plus that was not encoded arrives as a blank, and is meant.
        Assert.Equal((0, 1, 0), Counts(
            (await Send(studio, path + Since.Replace("Z", "+00:00", StringComparison.Ordinal), File)).Expect(HttpStatusCode.OK).Body));
    }

    private static string Since => $"?startedAt={Start:yyyy-MM-ddTHH:mm:ssZ}";

    private static Task<Reply> Send(TestStudio studio, string path, string file) =>
        studio.Technician.Send(HttpMethod.Post, Path(path), file, contentType: "text/csv");

    private static string Path(string readings) => readings.Replace("/readings", "/readings/csv", StringComparison.Ordinal);

    private static (int Stored, int Repeated, int Refused) Counts(JsonElement receipt) =>
        (receipt.GetProperty("stored").GetInt32(), receipt.GetProperty("repeated").GetInt32(), receipt.GetProperty("refused").EnumerateArray()
            .Sum(r => r.GetProperty("count").GetInt32()));

    private async Task<(TestStudio Studio, string Path)> Open()
    {
        var studio = await service.MakeStudio();
        var schedule = TestStudio.IdOf(await studio.Technician.Post(
            studio.Path + "/schedules", new { name = "ramp", startC = 20, segments = new[] { new { rateCPerHour = 60, toC = 1000 } } }));
        return (studio, $"{studio.Path}/firings/{await studio.MakePastFiring(await studio.MakeKiln(), Start, "06", schedule)}/readings");
    }
}
