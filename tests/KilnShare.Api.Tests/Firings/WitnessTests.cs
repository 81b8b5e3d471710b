using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Firings;

public sealed class WitnessTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Cones_tell_their_level_and_a_later_one_stands_for_an_earlier()
    {
        var studio = await service.MakeStudio();
        var path = await Cooling(studio, await studio.MakeKiln(), 30);
        // The cone maker's table (2016) at 60 °C/h: cone 5 1186, 6 1222, 7 1239. All down at the target's end point, the guard upright:
        // 0 to 17 less the 20 °C of its bending.
        var written = (await studio.Technician.Post(path, Cones(("bottom", "5", "down"), ("bottom", "6", "down"), ("bottom", "7", "standing"))))
            .Expect(HttpStatusCode.Created).Body;
        var level = Assert.Single(written.GetProperty("levels").EnumerateArray());
        Assert.Equal(-1.5, level.GetProperty("differenceC").GetDouble());
        Assert.Equal(60, written.GetProperty("endRateCPerHour").GetDouble());
        (await studio.Technician.Post(path, Cones(("bottom", "6", "standing")))).Expect(HttpStatusCode.Created);
        var now = (await studio.Viewer.Get(path)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(4, now.GetProperty("items").GetArrayLength());
        // Cone 5 down, 36 below; cone 6 upright, at most 20 below.
        Assert.Equal(-28, now.GetProperty("levels")[0].GetProperty("differenceC").GetDouble());
    }

    [Fact]
    public async Task A_hard_cone_down_beside_a_soft_one_standing_is_refused()
    {
        var studio = await service.MakeStudio();
        var path = await Cooling(studio, await studio.MakeKiln(), 30);
        var refused = (await studio.Technician.Post(path, Cones(("top", "5", "standing"), ("top", "6", "down")))).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("firings.witness-cones-contradict", refused.Code);
        Assert.Empty((await studio.Viewer.Get(path)).Body.GetProperty("items").EnumerateArray());
    }

    [Theory]
    [InlineData("""{"cones":[]}""", "/cones")]
    [InlineData("""{"cones":[null]}""", "/cones/0")]
    [InlineData("""{"cones":[{"level":"top","cone":"6"}]}""", "/cones/0/bendDegrees")]
    [InlineData("""{"cones":[{"level":"top","cone":"6","seen":"down","bendDegrees":90}]}""", "/cones/0/bendDegrees")]
    [InlineData("""{"cones":[{"level":"top","cone":"6","bendDegrees":200}]}""", "/cones/0/bendDegrees")]
    [InlineData("""{"cones":[{"level":"","cone":"6","seen":"down"}]}""", "/cones/0/level")]
    [InlineData("""{"cones":[{"level":"top","cone":"0","seen":"down"}]}""", "/cones/0/cone")]
    [InlineData("""{"cones":[{"level":"top","cone":"6","seen":"down"},{"level":"top","cone":"6","seen":"down"}]}""", "/cones")]
    public async Task What_cannot_be_seen_is_refused_where_it_is(string body, string pointer)
    {
        var studio = await service.MakeStudio();
        var path = await Cooling(studio, await studio.MakeKiln(), 30);
        Assert.Equal(pointer, (await studio.Technician.Post(path, body)).Expect(HttpStatusCode.BadRequest).Pointer);
    }

    [Fact]
    public async Task A_kiln_s_levels_are_learnt_from_all_its_firings_and_say_on_how_many_they_rest()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        Assert.Equal(0, (await studio.Viewer.Get($"{studio.Path}/kilns/{kiln}/levels")).Expect(HttpStatusCode.OK).Body.GetProperty("firings").GetInt32());
        for (var day = 30; day > 15; day -= 5)
        {
            var path = await Cooling(studio, kiln, day);
            (await studio.Technician.Post(path, Cones(("top", "6", "down"), ("top", "7", "standing"), ("bottom", "5", "down"), ("bottom", "6", "standing"))))
                .Expect(HttpStatusCode.Created);
        }
        var levels = (await studio.Viewer.Get($"{studio.Path}/kilns/{kiln}/levels")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(3, levels.GetProperty("firings").GetInt32());
        var byName = levels.GetProperty("levels").EnumerateArray().ToDictionary(l => l.GetProperty("level").GetString()!, StringComparer.Ordinal);
        Assert.Equal(-28, byName["bottom"].GetProperty("differenceC").GetDouble());
        Assert.Equal(-1.5, byName["top"].GetProperty("differenceC").GetDouble());
        Assert.Equal(3, byName["bottom"].GetProperty("firings").GetInt32());
        Assert.InRange(byName["bottom"].GetProperty("uncertaintyC").GetDouble(), 1, 10);
        Assert.Contains("cooler", byName["bottom"].GetProperty("message").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_levels_have_taught_reaches_forecasts_bookings_and_the_load_plan()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        for (var day = 30; day > 15; day -= 5)
            (await studio.Technician.Post(await Cooling(studio, kiln, day), Cones(("bottom", "5", "down"), ("bottom", "6", "standing"))))
                .Expect(HttpStatusCode.Created);
        var segments = new[] { new { rateCPerHour = 150, toC = 1122 }, new { rateCPerHour = 60, toC = 1222 } };
        var schedule = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/schedules", new { name = "glaze", startC = 20, segments }));
        var firing = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/firings",
            new { kilnId = kiln, kind = "glaze", cone = "6", scheduleId = schedule, startsAt = "2027-06-01T07:00:00Z", firingHours = 11, coolingHours = 20 }));
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/state", new { state = "accepting" })).Expect(HttpStatusCode.OK);
        // At the thermocouple cone 6 is just down at the end of the climb; 28 °C cooler it has come a third of the way.
        var places = (await studio.Viewer.Get($"{studio.Path}/firings/{firing}/cone-forecast")).Expect(HttpStatusCode.OK).Body.GetProperty("places");
        Assert.Equal(1, places[0].GetProperty("targetProgress").GetDouble(), 0.01);
        Assert.Equal(("bottom", -28.0, 3),
            (places[1].GetProperty("level").GetString(), places[1].GetProperty("differenceC").GetDouble(), places[1].GetProperty("firings").GetInt32()));
        // exp(−E/R·ΔT/T²) with E = 699 kJ/mol (fitted): exp(−84070 · 28 / (1495 · 1467)) = 0.34.
        Assert.Equal(0.34, places[1].GetProperty("targetProgress").GetDouble(), 0.02);
        Assert.True(places[1].GetProperty("targetProgressLow").GetDouble() < 0.34 && places[1].GetProperty("targetProgressHigh").GetDouble() > 0.34);
        // A body that wants cone 6 at least does not get it there; one from cone 5 on does.
        var (glaze, any) = (await studio.MakeGlaze(), await studio.MakeClay());
        var picky = await studio.MakePiece(studio.Potter, await studio.MakeClay("6", "7"), glaze);
        // It is told and asks nobody: it is an instruction to whoever loads.
        var booked = (await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = picky } } }))
            .Expect(HttpStatusCode.Created);
        Assert.Contains("level-out-of-range", booked.Text, StringComparison.Ordinal);
        TestStudio.IdOf(await studio.Potter.Post(
            $"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = await studio.MakePiece(studio.Potter, any, glaze) } } }));
        var level = Assert.Single(
            (await studio.Viewer.Get($"{studio.Path}/firings/{firing}/load-plan")).Expect(HttpStatusCode.OK).Body.GetProperty("levels").EnumerateArray());
        Assert.Equal("bottom", level.GetProperty("level").GetString());
        Assert.EndsWith("/" + picky, Assert.Single(level.GetProperty("keepOffPieceIds").EnumerateArray()).GetString(), StringComparison.Ordinal);
    }

    internal static object Cones(params (string Level, string Cone, string Seen)[] cones) =>
        new { cones = cones.Select(c => new { level = c.Level, cone = c.Cone, seen = c.Seen }) };

    /// <summary>A firing that has been switched off, so many days ago, and where its witness cones go.</summary>
    internal static async Task<string> Cooling(TestStudio studio, Guid kiln, int daysAgo)
    {
        var firing = await studio.MakePastFiring(kiln, TimeProvider.System.GetUtcNow().AddDays(-daysAgo));
        await studio.Heat(firing.ToString());
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/state", new { state = "cooling" })).Expect(HttpStatusCode.OK);
        return $"{studio.Path}/firings/{firing}/witness-cones";
    }
}
