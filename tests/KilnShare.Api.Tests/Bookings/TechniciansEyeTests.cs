using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>
/// What a technician looks at when a firing is booked: its schedule against the walls, which of two cones of one number is meant, and ware nobody
/// knows the cone of.
/// </summary>
public sealed class TechniciansEyeTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task A_thick_wall_in_a_fast_bisque_waits_for_a_technician_and_a_thin_one_is_told_nothing()
    {
        var studio = await service.MakeStudio();
        var segments = new[] { new { rateCPerHour = 300, toC = 1060 } };
        var fast = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/schedules", new { name = "fast bisque", startC = 20, segments }));
        var firing = await Bisque(studio, "04", fast);
        var clay = await studio.MakeClay();
        var thick = (await Book(studio, firing, await Greenware(studio, clay, 40))).Expect(HttpStatusCode.Created).Body;
        Assert.Equal("technician", thick.GetProperty("waitsFor").GetString());
        Assert.Contains(thick.GetProperty("findings").EnumerateArray(), f => Is(f, "schedule-and-wall", "technician"));
        var thin = (await Book(studio, firing, await Greenware(studio, clay, 4))).Expect(HttpStatusCode.Created).Body;
        Assert.DoesNotContain(thin.GetProperty("findings").EnumerateArray(), f => f.GetProperty("asks").GetString() != "nobody");
    }

    [Fact]
    public async Task A_bisque_at_6_waits_until_a_technician_says_that_6_is_meant()
    {
        var studio = await service.MakeStudio();
        var firing = await Bisque(studio, "6", null);
        var clay = await studio.MakeClay();
        var waits = (await Book(studio, firing, await Greenware(studio, clay, 6))).Expect(HttpStatusCode.Created).Body;
        Assert.Equal("technician", waits.GetProperty("waitsFor").GetString());
        Assert.Contains("06 is 998 °C", waits.GetProperty("findings").EnumerateArray().Single(f => Is(f, "cone-namesake", "technician")).GetProperty("message")
            .GetString(), StringComparison.Ordinal);
        var path = $"{studio.Path}/firings/{firing}";
        var meant = (await studio.Technician.Patch(path, new { coneIsMeant = true }, await studio.Technician.Tag(path))).Expect(HttpStatusCode.OK).Body;
        Assert.True(meant.GetProperty("coneIsMeant").GetBoolean());
        var booked = (await Book(studio, firing, await Greenware(studio, clay, 6))).Expect(HttpStatusCode.Created).Body;
        Assert.DoesNotContain(booked.GetProperty("findings").EnumerateArray(), f => f.GetProperty("rule").GetString() == "cone-namesake");
    }

    [Fact]
    public async Task A_glaze_nobody_knows_the_cone_of_goes_in_on_a_catcher_or_as_a_test_tile_by_a_technicians_yes()
    {
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        var found = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/glazes",
            new { name = "found jar", conesUnknown = true, leadFreeByLabel = true, movement = "stable", atmospheres = new[] { "oxidation" } }));
        var clay = await studio.MakeClay();
        var bare = (await Book(studio, firing, await Tile(studio, clay, found, testTile: false))).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Contains("cones-not-known", bare.Text, StringComparison.Ordinal);
        var tile = await Tile(studio, clay, found, testTile: true);
        Assert.Equal("technician", (await Book(studio, firing, tile)).Expect(HttpStatusCode.Created).Body.GetProperty("waitsFor").GetString());
        var read = (await studio.Viewer.Get($"{studio.Path}/pieces/{tile}")).Expect(HttpStatusCode.OK).Body;
        Assert.True(read.GetProperty("testTile").GetBoolean());
        Assert.True(read.GetProperty("steep").GetBoolean());
        Assert.Equal("apart", read.GetProperty("lid").GetString());
    }

    private static bool Is(JsonElement finding, string rule, string asks) =>
        finding.GetProperty("rule").GetString() == rule && finding.GetProperty("asks").GetString() == asks;

    private static async Task<Guid> Bisque(TestStudio studio, string cone, Guid? schedule)
    {
        var start = DateTimeOffset.UnixEpoch.AddDays(28_206); // in 2047
        var firing = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/firings", new
        {
            kilnId = await studio.MakeKiln(),
            kind = "bisque",
            cone,
            scheduleId = schedule,
            startsAt = start.ToString("O"),
            firingHours = 11,
            coolingHours = 20
        }));
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/state", new { state = "accepting" })).Expect(HttpStatusCode.OK);
        return firing;
    }

    private static async Task<Guid> Greenware(TestStudio studio, Guid clay, int wallMm) => TestStudio.IdOf(await studio.Potter.Post(studio.Path + "/pieces", new
    {
        name = "head",
        mark = "H1",
        footprint = TestStudio.Circle(90),
        heightMm = 120,
        massG = 500,
        clayId = clay,
        stage = "greenware",
        dryness = "dry",
        drySince = "2026-01-01T08:00:00Z",
        wallMm,
    }));

    private static async Task<Guid> Tile(TestStudio studio, Guid clay, Guid glaze, bool testTile) =>
        TestStudio.IdOf(await studio.Potter.Post(studio.Path + "/pieces", new
        {
            name = "tile",
            mark = "T1",
            footprint = TestStudio.Circle(60),
            heightMm = 20,
            massG = 60,
            clayId = clay,
            layers = new[] { new { glazeId = glaze, coats = 1 } },
            stage = "bisque",
            bisquedAt = "04",
            bareFootMm = 20,
            testTile,
            steep = true,
            lid = "apart",
        }));

    private static Task<Reply> Book(TestStudio studio, Guid firing, Guid piece) =>
        studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece } }, accepts = new[] { "bisque-range" } });
}
