using System.Net;
using System.Text.Json.Nodes;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Firings;

public sealed class ScheduleTests(Service service) : IClassFixture<Service>
{
    // University ceramics teaching notes (published): 90 °C/h to 90, 30 min; 100 to 600, 30 min; 150 to 900: 8.88 h from 20 °C.
    private static readonly object[] Teaching = [Segment(90, 90, 30), Segment(100, 600, 30), Segment(150, 900, 0)];

    [Fact]
    public async Task A_schedule_is_kept_listed_and_read_as_it_was_written()
    {
        var studio = await service.MakeStudio();
        var id = TestStudio.IdOf(await studio.Technician.Post(
            studio.Path + "/schedules", new { name = "thin bisque", purpose = "dry, thin ware", startC = 20, segments = Teaching }));
        var read = (await studio.Viewer.Get($"{studio.Path}/schedules/{id}")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(8.878, read.GetProperty("hours").GetDouble());
        Assert.Equal(3, read.GetProperty("segments").GetArrayLength());
        Assert.Equal("dry, thin ware", read.GetProperty("purpose").GetString());
        Assert.Single((await studio.Viewer.Get(studio.Path + "/schedules")).Body.GetProperty("items").EnumerateArray());
        (await studio.Potter.Post(studio.Path + "/schedules", new { name = "x", startC = 20, segments = Teaching })).Expect(HttpStatusCode.Forbidden);
        var other = await service.MakeStudio();
        (await other.Owner.Get($"{other.Path}/schedules/{id}")).Expect(HttpStatusCode.NotFound);
    }

    // A published textbook on cone 6 glazes: 100 °F/h to 220 °F, 350 to 2000, 150 to 2127 and a hold of 15 min: 7.68 h from 70 °F (derived).
    [Fact]
    public async Task A_schedule_in_Fahrenheit_is_kept_and_comes_back_as_it_was_entered()
    {
        var studio = await service.MakeStudio();
        var entered = JsonNode.Parse(
            """
            {"startF":70,"segments":[{"rateFPerHour":100,"toF":220,"holdMinutes":0},{"rateFPerHour":350,"toF":2000,"holdMinutes":0},{"rateFPerHour":150,
             "toF":2127,"holdMinutes":15}]}
            """)!;
        for (var round = 0; round < 3; round++)
        {
            var turned = (await studio.Viewer.Post("/v1/calculations/schedule-units", entered.ToJsonString())).Expect(HttpStatusCode.OK).Body;
            Assert.Equal(7.68, turned.GetProperty("hours").GetDouble(), 0.005);
            var celsius = JsonNode.Parse(turned.GetProperty("celsius").GetRawText())!;
            celsius["name"] = $"round {round}";
            var id = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/schedules", celsius.ToJsonString()));
            var kept = (await studio.Viewer.Get($"{studio.Path}/schedules/{id}")).Expect(HttpStatusCode.OK).Body.GetProperty("fahrenheit");
            Assert.True(JsonNode.DeepEquals(entered, JsonNode.Parse(kept.GetRawText())), kept.GetRawText());
        }

        var hot = (await studio.Viewer.Post("/v1/calculations/schedule-units", """{"startF":70,"segments":[{"rateFPerHour":100,"toF":9000}]}"""))
            .Expect(HttpStatusCode.BadRequest);
        Assert.Equal("/segments/0/toF", hot.Pointer);
    }

    [Fact]
    public async Task A_schedule_that_does_nothing_is_refused_and_one_as_fast_as_the_kiln_can_is_kept()
    {
        var studio = await service.MakeStudio();
        var refused = (await studio.Technician.Post(studio.Path + "/schedules", new { name = "x", startC = 20, segments = new[] { Segment(2500, 900, 0) } }))
            .Expect(HttpStatusCode.BadRequest);
        Assert.Equal("/segments/0/rateCPerHour", refused.Pointer);
        var fast = (await studio.Technician.Post(studio.Path + "/schedules", new { name = "x", startC = 20, segments = new[] { new { toC = 900 } } }))
            .Expect(HttpStatusCode.Created).Body;
        Assert.Equal("null", fast.GetProperty("hours").GetRawText());
    }

    [Fact]
    public async Task Starting_schedules_name_their_sources()
    {
        var items = (await (await service.MakeStudio()).Viewer.Get("/v1/schedules/starting")).Expect(HttpStatusCode.OK).Body.GetProperty("items")
            .EnumerateArray().ToArray();
        var bisque = items.Single(i => i.GetProperty("name").GetString() == "bisque-thin");
        Assert.Equal(8.878, bisque.GetProperty("hours").GetDouble());
        Assert.All(items, i => Assert.NotEmpty(i.GetProperty("source").GetString()!));
    }

    [Fact]
    public async Task A_look_ahead_tells_hours_cones_and_unkind_passings()
    {
        var question = new
        {
            schedule = new { startC = 20, segments = new[] { Segment(200, 900, 0) } },
            ware = new { thickestWallMm = 20, stage = "greenware", dryness = "dry" }
        };
        var answer = (await Ask("schedule-forecast", question)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(4.4, answer.GetProperty("hours").GetDouble());
        Assert.Contains(answer.GetProperty("passings").EnumerateArray(), p => p.GetProperty("name").GetString() == "quartz");
        Assert.NotEmpty(answer.GetProperty("cautions").EnumerateArray());
        Assert.Equal("/ware/thickestWallMm", (await Ask("schedule-forecast", new { question.schedule, ware = new { thickestWallMm = -1, stage = "bisque" } }))
            .Expect(HttpStatusCode.BadRequest).Pointer);
    }

    // Peaks for cone 6 after a climb of 60 °C/h and a hold: derived from the fitted kinetics, to 2 °C.
    [Theory]
    [InlineData(10, 1213.5)]
    [InlineData(30, 1202.0)]
    [InlineData(60, 1190.9)]
    public async Task The_peak_for_a_hold_and_the_hold_for_a_peak_are_each_others_inverse(double holdMinutes, double peakC)
    {
        var found = (await Ask("schedule-peak", new { cone = "6", endRateCPerHour = 60, holdMinutes })).Expect(HttpStatusCode.OK).Body.GetProperty("peakC")
            .GetDouble();
        Assert.Equal(peakC, found, 2.0);
        var hold = (await Ask("schedule-peak", new { cone = "6", endRateCPerHour = 60, peakC = found }))
            .Expect(HttpStatusCode.OK).Body.GetProperty("holdMinutes").GetDouble();
        Assert.Equal(holdMinutes, hold, 1.0);
    }

    [Fact]
    public async Task A_schedule_whose_peak_is_found_brings_the_cone_down()
    {
        var found = (await Ask("schedule-peak", new { cone = "04", schedule = new { startC = 20, segments = Teaching } })).Expect(HttpStatusCode.OK).Body;
        var heatWork = (await Ask("heat-work", "{\"schedule\":" + found.GetProperty("schedule").GetRawText() + "}")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("04", heatWork.GetProperty("equivalent").GetProperty("down").GetString());
        Assert.InRange(heatWork.GetProperty("equivalent").GetProperty("fraction").GetDouble(), 0, 0.02);
    }

    [Fact]
    public async Task A_schedule_is_fitted_to_its_deadline_or_refused_with_the_shortest_time()
    {
        var question = new
        {
            schedule = new { startC = 20, segments = Teaching },
            hours = 12.0,
            ware = new { thickestWallMm = 8, stage = "greenware", dryness = "dry" },
            kilnCPerHour = 300
        };
        Assert.Equal(12, (await Ask("schedule-fit", question)).Expect(HttpStatusCode.OK).Body.GetProperty("hours").GetDouble(), 0.01);
        var refused = (await Ask("schedule-fit", question with { hours = 2.0 })).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal(("firings.deadline-too-soon", "/hours"), (refused.Code, refused.Pointer));
        Assert.InRange(refused.Body.GetProperty("values").GetProperty("shortestHours").GetDouble(), 5, 9);
    }

    [Theory]
    [InlineData("schedule-peak", """{"cone":"6"}""", "/endRateCPerHour", 400)]
    [InlineData("schedule-peak", """{"cone":"6","endRateCPerHour":60,"holdMinutes":5,"peakC":1200}""", "/holdMinutes", 400)]
    [InlineData("schedule-peak", """{"cone":"6","endRateCPerHour":-60}""", "/endRateCPerHour", 400)]
    [InlineData("schedule-peak", """{"cone":"6","endRateCPerHour":0.1}""", "/endRateCPerHour", 400)]
    [InlineData("schedule-peak", """{"cone":"6","endRateCPerHour":60,"peakC":900}""", "/peakC", 422)]
    [InlineData("schedule-peak", """{"cone":"6","endRateCPerHour":60,"peakC":9000}""", "/peakC", 400)]
    [InlineData("schedule-peak", """{"cone":"6","endRateCPerHour":60,"series":"small"}""", "/series", 422)]
    [InlineData("schedule-peak", """{"cone":"6","schedule":{"startC":20,"segments":[{"rateCPerHour":0.5,"toC":900}]}}""", "/schedule/segments", 400)]
    [InlineData("schedule-forecast", """{"schedule":{"startC":20,"segments":[{"toC":900}]}}""", "/schedule/segments/0/rateCPerHour", 422)]
    [InlineData("schedule-fit",
        """{"schedule":{"startC":20,"segments":[{"rateCPerHour":100,"toC":900}]},"hours":-1,"ware":{"thickestWallMm":8,"stage":"bisque"},"kilnCPerHour":300}""",
        "/hours", 400)]
    [InlineData("schedule-fit",
        """{"schedule":{"startC":20,"segments":[{"rateCPerHour":100,"toC":900}]},"hours":9,"ware":{"stage":"bisque"},"kilnCPerHour":300}""",
        "/ware/thickestWallMm", 422)]
    [InlineData("schedule-fit",
        """{"schedule":{"startC":20,"segments":[{"rateCPerHour":100,"toC":900}]},"hours":9,"ware":{"thickestWallMm":8,"stage":"bisque"},"kilnCPerHour":0}""",
        "/kilnCPerHour", 400)]
    public async Task What_cannot_be_solved_is_refused_where_it_is(string calculation, string body, string pointer, int status) =>
        Assert.Equal(pointer, (await Ask(calculation, body)).Expect((HttpStatusCode)status).Pointer);

    [Fact]
    public async Task A_firing_that_names_a_schedule_has_its_hours_forecast_where_none_are_entered()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln(ratedKw: 11.5m, wall: new[] { new { material = "firebrick23", thicknessMm = 76 } });
        var schedule = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/schedules", new { name = "bisque", startC = 20, segments = Teaching }));
        var firing = (await studio.Technician.Post(studio.Path + "/firings",
            new { kilnId = kiln, kind = "bisque", cone = "04", scheduleId = schedule, startsAt = "2026-12-01T08:00:00Z" })).Expect(HttpStatusCode.Created).Body;
        Assert.Equal("forecast", firing.GetProperty("hoursBasis").GetString());
        Assert.Equal(8.88, firing.GetProperty("firingHours").GetDouble());
        // A potters' mailing list gives 24 h to 65 °C for a 10 cu ft kiln from cone 06; this one holds 6.5 cu ft.
        Assert.InRange(firing.GetProperty("coolingHours").GetDouble(), 10, 40);
        var entered = (await studio.Technician.Post(studio.Path + "/firings", new
        {
            kilnId = kiln,
            kind = "bisque",
            cone = "04",
            scheduleId = schedule,
            startsAt = "2026-12-09T08:00:00Z",
            firingHours = 10,
            coolingHours = 20
        })).Expect(HttpStatusCode.Created).Body;
        Assert.Equal("entered", entered.GetProperty("hoursBasis").GetString());
    }

    [Fact]
    public async Task Hours_that_nobody_entered_and_nothing_tells_are_asked_for()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var schedule = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/schedules", new { name = "bisque", startC = 20, segments = Teaching }));
        var path = studio.Path + "/firings";
        Assert.Equal("/firingHours", (await studio.Technician.Post(
            path, new { kilnId = kiln, kind = "bisque", cone = "04", startsAt = "2026-12-01T08:00:00Z" })).Expect(HttpStatusCode.BadRequest).Pointer);
        Assert.Equal("/coolingHours", (await studio.Technician.Post(path, new
        {
            kilnId = kiln,
            kind = "bisque",
            cone = "04",
            scheduleId = schedule,
            startsAt = "2026-12-01T08:00:00Z"
        })).Expect(HttpStatusCode.UnprocessableEntity).Pointer);
        Assert.Equal("/scheduleId", (await studio.Technician.Post(path, new
        {
            kilnId = kiln,
            kind = "bisque",
            cone = "04",
            scheduleId = Guid.NewGuid(),
            startsAt = "2026-12-01T08:00:00Z"
        })).Expect(HttpStatusCode.UnprocessableEntity).Pointer);
    }

    private static object Segment(double rateCPerHour, double toC, double holdMinutes) => new { rateCPerHour, toC, holdMinutes };

    private async Task<Reply> Ask(string calculation, object question) =>
        await (await service.MakeStudio()).Viewer.Post("/v1/calculations/" + calculation, question);
}
