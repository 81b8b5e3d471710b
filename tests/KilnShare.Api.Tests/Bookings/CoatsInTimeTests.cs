using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>
/// Relief in thinned underglaze that a second bisque sets, and glaze over it: four cast pieces, four glazes, one coat each, a mark under each foot.
/// Source of the path: common practice, no source.
/// </summary>
public sealed class CoatsInTimeTests(Service service) : IClassFixture<Service>
{
    private static readonly string[] Glazes = ["river blue", "tin white", "ash green", "honey"];

    /// <summary>
    /// All three firings booked before anything is fired, or each when the one before it is done; the colours set in a firing for that or in a
    /// bisque.
    /// </summary>
    [Theory]
    [InlineData(true, "underglazeSet")]
    [InlineData(false, "underglazeSet")]
    [InlineData(true, "bisque")]
    public async Task Bisque_then_underglaze_set_then_glaze_runs_without_a_false_warning(bool ahead, string setting)
    {
        var (studio, kiln, clay) = await Open();
        var pieces = new List<Guid>();
        var black = await Underglaze(studio);
        for (var i = 0; i < Glazes.Length; i++) pieces.Add(await Bird(studio, clay, i, new { glazeId = black, coats = 2, goesOnBefore = "underglazeSet" },
            new { glazeId = await Glaze(studio, Glazes[i]), coats = 1, goesOnBefore = "glaze" }));
        Assert.Equal(["bisque", "underglazeSet", "glaze"], (await Copy(studio, pieces[0])).GetProperty("route").EnumerateArray()
            .Select(s => s.GetProperty("kind").GetString()!));
        var firings = new[] { await Firing(
            studio, kiln, "bisque", "04", 0), await Firing(studio, kiln, setting, "04", 3), await Firing(studio, kiln, "glaze", "6", 6) };
        if (ahead)
        {
            for (var i = 0; i < firings.Length; i++) await Book(studio, firings[i], pieces, i > 0);
        }

        string[][] firedAt = [[], ["04"], ["04", "6"]];
        for (var i = 0; i < firings.Length; i++)
        {
            if (!ahead) await Book(studio, firings[i], pieces, false);
            await Fire(studio, firings[i], pieces);
            foreach (var piece in pieces)
            {
                var copy = await Copy(studio, piece);
                Assert.Equal(firedAt[i], copy.GetProperty("layersFiredAt").EnumerateArray().Select(c => c.GetString()!));
                Assert.Equal(("04", i + 1), (copy.GetProperty("bisquedAt").GetString(), copy.GetProperty("step").GetInt32()));
                (await studio.Potter.Post($"{studio.Path}/pieces/{piece}/outcomes", new { firingId = firings[i], copy = 0, grade = "good" }))
                    .Expect(HttpStatusCode.Created);
            }
        }

        Assert.Empty((await Copy(studio, pieces[0])).GetProperty("route").EnumerateArray());
        var rows = (await studio.Viewer.Get(studio.Path + "/evidence")).Expect(HttpStatusCode.OK).Body.GetProperty("rows").EnumerateArray().ToList();
        var seen = rows.Select(r => (r.GetProperty("glaze").GetString(), r.GetProperty("cone").GetString(), r.GetProperty("coats")
            .GetInt32(), r.GetProperty("pieces").GetInt32())).ToList();
        // The bisque says nothing of a coat, the setting only of the colour, the glaze firing of each glaze once.
        Assert.Equal([(null, "04", 0, 4), ("relief black", "04", 2, 4), .. Glazes.Order(StringComparer.Ordinal).Select(g => ((string?)g, "6", 1, 1))],
            seen.OrderBy(r => r.Item2, StringComparer.Ordinal).ThenBy(r => r.Item1, StringComparer.Ordinal));
    }

    [Fact]
    public async Task A_refire_is_labelled_as_one_and_counts_only_the_coat_that_went_on_for_it()
    {
        var (studio, kiln, clay) = await Open();
        var (first, over) = (await Glaze(studio, "river blue"), await Glaze(studio, "honey"));
        var piece = await Bird(
            studio, clay, 0, new { glazeId = first, coats = 1, goesOnBefore = "glaze" }, new { glazeId = over, coats = 1, goesOnBefore = "refire" });
        var route = (await Copy(studio, piece)).GetProperty("route").EnumerateArray()
            .Select(s => (s.GetProperty("kind").GetString(), s.GetProperty("isRefire").GetBoolean()));
        Assert.Equal([("bisque", false), ("glaze", false), ("glaze", true)], route);
        var firings = new[] { await Firing(
            studio, kiln, "bisque", "04", 0), await Firing(studio, kiln, "glaze", "6", 3), await Firing(studio, kiln, "glaze", "6", 6) };
        foreach (var firing in firings[..2])
        {
            await Book(studio, firing, [piece], false);
            await Fire(studio, firing, [piece]);
        }

        Assert.Equal(["6"], (await Copy(studio, piece)).GetProperty("layersFiredAt").EnumerateArray().Select(c => c.GetString()!));
        var step = Assert.Single((await Copy(studio, piece)).GetProperty("route").EnumerateArray());
        Assert.True(step.GetProperty("isRefire").GetBoolean());
        var booked = (await studio.Potter.Post($"{studio.Path}/firings/{firings[2]}/bookings", new
        {
            pieces = new[] { new { pieceId = piece } },
            accepts = new[] { "stage-and-kind", "fired-layer-melts-again" }
        })).Expect(HttpStatusCode.Created).Body;
        Assert.Contains(booked.GetProperty("findings").EnumerateArray(), f =>
            f.GetProperty("rule").GetString() == "stage-and-kind" && f.GetProperty("message").GetString()!.Contains("refire", StringComparison.Ordinal));
        await Fire(studio, firings[2], [piece]);
        (await studio.Potter.Post($"{studio.Path}/pieces/{piece}/outcomes", new { firingId = firings[2], copy = 0, grade = "good" }))
            .Expect(HttpStatusCode.Created);
        var row = Assert.Single((await studio.Viewer.Get(studio.Path + "/evidence")).Expect(HttpStatusCode.OK).Body.GetProperty("rows").EnumerateArray());
        Assert.Equal("honey", row.GetProperty("glaze").GetString());
    }

    [Fact]
    public async Task When_a_coat_goes_on_is_said_once_and_answered_by_its_firing()
    {
        var (studio, _, clay) = await Open();
        var (black, blue) = (await Underglaze(studio), await Glaze(studio, "river blue"));
        var older = await Bird(studio, clay, 0, new { glazeId = black, goesOnAt = "bisque" }, new { glazeId = blue, goesOnAt = "bisque" });
        var layers = (await studio.Viewer.Get($"{studio.Path}/pieces/{older}")).Expect(HttpStatusCode.OK).Body.GetProperty("layers");
        Assert.Equal(["underglazeSet", "glaze"], layers.EnumerateArray().Select(l => l.GetProperty("goesOnBefore").GetString()!));
        Assert.DoesNotContain("goesOnAt", layers.ToString(), StringComparison.Ordinal);
        var twice = await studio.Potter.Post(studio.Path + "/pieces", Making(clay, 1, new { glazeId = blue, goesOnAt = "bisque", goesOnBefore = "glaze" }));
        Assert.Contains("pieces.goes-on-twice", twice.Expect(HttpStatusCode.BadRequest).Text, StringComparison.Ordinal);
        var backwards = await studio.Potter.Post(
            studio.Path + "/pieces", Making(clay, 1, new { glazeId = blue, goesOnBefore = "glaze" }, new { glazeId = black, goesOnBefore = "underglazeSet" }));
        Assert.Contains("pieces.layer-order", backwards.Expect(HttpStatusCode.BadRequest).Text, StringComparison.Ordinal);
    }

    private async Task<(TestStudio Studio, Guid Kiln, Guid Clay)> Open()
    {
        var studio = await service.MakeStudio();
        return (studio, await studio.MakeKiln(), TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/clays", new
        {
            name = "casting stoneware",
            cones = new { from = "5", to = "7" },
            bisqueCones = new { from = "08", to = "04" },
            atmospheres = new[] { "oxidation" },
            expansionPpmPerC = 6.9,
            expansionMethod = "dilatometer",
            contains = Array.Empty<object>(),
        })));
    }

    private static async Task<Guid> Underglaze(TestStudio studio) => TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/glazes", new
    {
        name = "relief black",
        kind = "underglaze",
        cones = new { from = "06", to = "6" },
        atmospheres = new[] { "oxidation" },
        movement = "stable",
        contains = Array.Empty<object>(),
    }));

    private static async Task<Guid> Glaze(TestStudio studio, string name) => TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/glazes", new
    {
        name,
        cones = new { from = "5", to = "6" },
        movement = "stable",
        atmospheres = new[] { "oxidation" },
        expansionPpmPerC = 6.2,
        expansionMethod = "dilatometer",
        contains = Array.Empty<object>(),
    }));

    private static async Task<Guid> Bird(TestStudio studio, Guid clay, int number, params object[] layers) =>
        TestStudio.IdOf(await studio.Potter.Post(studio.Path + "/pieces", Making(clay, number, layers)));

    private static object Making(Guid clay, int number, params object[] layers) => new
    {
        name = "cast bird",
        mark = $"R{number + 1}",
        footprint = TestStudio.Circle(90),
        heightMm = 120,
        massG = 500,
        clayId = clay,
        layers,
        stage = "greenware",
        dryness = "dry",
        drySince = "2026-01-01T08:00:00Z",
        wallMm = 6,
        bareFootMm = 6,
    };

    private static async Task<Guid> Firing(TestStudio studio, Guid kiln, string kind, string cone, int day)
    {
        var start = DateTimeOffset.UnixEpoch.AddDays(28_200 + day); // in 2047
        var id = TestStudio.IdOf(await studio.Technician.Post(
            studio.Path + "/firings", new { kilnId = kiln, kind, cone, startsAt = start.ToString("O"), firingHours = 11, coolingHours = 20 }));
        (await studio.Technician.Put($"{studio.Path}/firings/{id}/state", new { state = "accepting" })).Expect(HttpStatusCode.OK);
        return id;
    }

    /// <summary>Nothing is said of the ware, whoever is asked.</summary>
    private static async Task Book(TestStudio studio, Guid firing, IReadOnlyList<Guid> pieces, bool ahead)
    {
        var booked = (await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = pieces.Select(pieceId => new { pieceId }), ahead }))
            .Expect(HttpStatusCode.Created).Body;
        Assert.Equal("confirmed", booked.GetProperty("state").GetString());
        Assert.Empty(booked.GetProperty("findings").EnumerateArray());
    }

    private static async Task Fire(TestStudio studio, Guid firing, IReadOnlyList<Guid> pieces)
    {
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/state", new { state = "fixed" })).Expect(HttpStatusCode.OK);
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/load", new { placed = pieces.Select(pieceId => new { pieceId }) }))
            .Expect(HttpStatusCode.OK);
        foreach (var state in (string[])["heating", "cooling", "unloaded"])
            (await studio.Technician.Put($"{studio.Path}/firings/{firing}/state",
                new { state, answeredBy = state == "heating" ? "Tilo" : null, outcome = state == "unloaded" ? "sound" : null })).Expect(HttpStatusCode.OK);
    }

    private static async Task<JsonElement> Copy(TestStudio studio, Guid piece) =>
        (await studio.Viewer.Get($"{studio.Path}/pieces/{piece}")).Expect(HttpStatusCode.OK).Body.GetProperty("copies")[0];
}
