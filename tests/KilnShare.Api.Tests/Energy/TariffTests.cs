using System.Net;
using System.Text.Json.Nodes;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Energy;

public sealed class TariffTests(Service service) : IClassFixture<Service>
{
    private static readonly object[] NightAndDay =
    [
        new { name = "night", from = "22:00", to = "06:00", perKwh = "0.10" },
        new { name = "day", from = "06:00", to = "22:00", perKwh = "0.40" },
    ];

    [Fact]
    public async Task A_tariff_is_kept_in_the_studio_s_zone_and_currency()
    {
        var studio = await service.MakeStudio();
        var id = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/tariffs",
            new { name = "two prices", currency = "EUR", periods = NightAndDay, perFiring = "1.20", taxes = new[] { new { name = "vat", percent = "20" } } }));
        var read = (await studio.Viewer.Get($"{studio.Path}/tariffs/{id}")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("Europe/Berlin", read.GetProperty("zone").GetString());
        Assert.Equal("0.4", read.GetProperty("periods")[1].GetProperty("perKwh").GetString());
        Assert.Single((await studio.Viewer.Get(studio.Path + "/tariffs")).Body.GetProperty("items").EnumerateArray());
        var dollars = (await studio.Technician.Post(studio.Path + "/tariffs", new { name = "x", currency = "USD", periods = NightAndDay }))
            .Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal(("energy.other-currency", "/currency"), (dollars.Code, dollars.Pointer));
        var gap = (await studio.Technician.Post(studio.Path + "/tariffs", new { name = "x", currency = "EUR", periods = NightAndDay[..1] }))
            .Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal(("energy.tariff-gap", "/periods"), (gap.Code, gap.Pointer));
        (await studio.Potter.Post(studio.Path + "/tariffs", new { name = "x", currency = "EUR", periods = NightAndDay })).Expect(HttpStatusCode.Forbidden);
        (await studio.Technician.Post(studio.Path + "/kilns", new { name = "x", tariffId = Guid.NewGuid() })).Expect(HttpStatusCode.BadRequest);
    }

    [Fact]
    public async Task A_metered_firing_is_billed_by_its_kiln_s_tariff_from_the_meter()
    {
        var studio = await service.MakeStudio();
        var tariff = TestStudio.IdOf(
            await studio.Technician.Post(studio.Path + "/tariffs", new { name = "two prices", currency = "EUR", periods = NightAndDay }));
        var firing = await Metered(studio, await studio.MakeKiln(tariff: tariff));
        // 20:00 to 22:00 in Berlin 20 kWh of day, 22:00 to 02:00 40 kWh of night: 8.00 + 4.00.
        var split = (await studio.Technician.Get($"{studio.Path}/firings/{firing}/cost-split")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(60, split.GetProperty("energyKwh").GetDecimal());
        var lines = split.GetProperty("energyCost").GetProperty("lines").EnumerateArray()
            .ToDictionary(l => l.GetProperty("name").GetString()!, l => l.GetProperty("amountMinor").GetInt64(), StringComparer.Ordinal);
        Assert.Equal((800, 400), (lines["day"], lines["night"]));
        Assert.Equal(1200 + 450, split.GetProperty("split").GetProperty("totalMinor").GetInt64());
    }

    [Fact]
    public async Task A_kiln_takes_another_tariff_or_none_and_its_firings_are_billed_by_it()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var firing = await Metered(studio, kiln);
        var tariff = TestStudio.IdOf(
            await studio.Technician.Post(studio.Path + "/tariffs", new { name = "two prices", currency = "EUR", periods = NightAndDay }));
        var path = $"{studio.Path}/kilns/{kiln}";
        var edited = (await studio.Technician.Patch(path, new { tariffId = tariff }, await studio.Technician.Tag(path))).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(tariff, edited.GetProperty("tariffId").GetGuid());
        Assert.Equal(tariff, (await studio.Viewer.Get(path)).Body.GetProperty("tariffId").GetGuid());
        Assert.Equal(1200 + 450, (await studio.Technician.Get($"{studio.Path}/firings/{firing}/cost-split")).Expect(HttpStatusCode.OK).Body.GetProperty("split")
            .GetProperty("totalMinor").GetInt64());
        // Another studio's tariff is refused like one that does not exist, and nothing is changed.
        var stranger = await service.MakeStudio();
        var theirs = TestStudio.IdOf(await stranger.Technician.Post(stranger.Path + "/tariffs", new { name = "x", currency = "EUR", periods = NightAndDay }));
        foreach (var wrong in new[] { theirs, Guid.NewGuid() })
        {
            var refused = (await studio.Technician.Patch(path, new { tariffId = wrong }, await studio.Technician.Tag(path)))
                .Expect(HttpStatusCode.UnprocessableEntity);
            Assert.Equal(("kilns.no-such-tariff", "/tariffId"), (refused.Code, refused.Pointer));
        }

        Assert.Equal("/lossFactor", (await studio.Technician.Patch(path, new { lossFactor = 99 }, await studio.Technician.Tag(path)))
            .Expect(HttpStatusCode.BadRequest).Pointer);
        (await studio.Technician.Patch(path, """{"tariffId":null}""", await studio.Technician.Tag(path))).Expect(HttpStatusCode.OK);
        Assert.Equal(1872 + 450, (await studio.Technician.Get($"{studio.Path}/firings/{firing}/cost-split")).Body.GetProperty("split").GetProperty("totalMinor")
            .GetInt64());
    }

    [Fact]
    public async Task Without_a_tariff_the_flat_price_holds()
    {
        var studio = await service.MakeStudio();
        var firing = await Metered(studio, await studio.MakeKiln());
        var split = (await studio.Technician.Get($"{studio.Path}/firings/{firing}/cost-split")).Expect(HttpStatusCode.OK).Body;
        // 60 kWh at 0.312.
        Assert.Equal(1872 + 450, split.GetProperty("split").GetProperty("totalMinor").GetInt64());
        Assert.Equal("null", split.GetProperty("energyCost").GetRawText());
    }

    [Fact]
    public async Task The_cheapest_start_is_in_the_night_and_somebody_is_there_where_that_is_asked()
    {
        var studio = await service.MakeStudio();
        var question = FiringEnergyTests.Small(FiringEnergyTests.Schedule(196, 999));
        question["tariff"] = JsonNode.Parse(
            """
            {"currency":"EUR","periods":[{"name":"night","from":"22:00","to":"06:00","perKwh":"0.10"},{"name":"day","from":"06:00","to":"22:00",
             "perKwh":"0.40"}]}
            """);
        question["zone"] = "Europe/Berlin";
        (question["from"], question["to"]) = ("2026-01-14T08:00:00Z", "2026-01-16T08:00:00Z");
        // 5 h of firing lie wholly in the night: the earliest such start is 22:00 in Berlin.
        var free = (await Ask(studio, question)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("2026-01-14T21:00:00Z", free.GetProperty("startsAt").GetString());
        Assert.Equal("night", Assert.Single(free.GetProperty("cost").GetProperty("lines").EnumerateArray()).GetProperty("name").GetString());
        Assert.Equal(4, free.GetProperty("atOnce").GetProperty("totalMinor").GetDouble() / free.GetProperty("cost").GetProperty("totalMinor")
            .GetDouble(), 0.02);
        question["attended"] = JsonNode.Parse("""{"hours":[{"from":"07:00","to":"23:30"}],"atEndHours":1}""");
        var attended = (await Ask(studio, question)).Expect(HttpStatusCode.OK).Body;
        Assert.True(attended.GetProperty("cost").GetProperty("totalMinor").GetInt64() > free.GetProperty("cost").GetProperty("totalMinor").GetInt64());
        question["attended"] = JsonNode.Parse("""{"hours":[{"from":"07:00","to":"08:00"}],"atEndHours":1}""");
        Assert.Equal("energy.no-start", (await Ask(studio, question)).Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    [Theory]
    [InlineData("to", "\"2026-01-14T08:00:00Z\"", "/to", 400)]
    [InlineData("to", "\"2026-03-14T08:00:00Z\"", "/to", 400)]
    [InlineData("to", "\"2026-01-14T09:00:00Z\"", "/to", 422)]
    [InlineData("tariff", "null", "/tariff", 400)]
    [InlineData("startsAt", "\"2026-01-14T09:00:00Z\"", "/startsAt", 400)]
    [InlineData("attended", """{"hours":[]}""", "/attended", 400)]
    [InlineData("attended", """{"hours":[{"days":"someday"}]}""", "/attended/hours/0/days", 400)]
    public async Task What_has_no_cheapest_start_is_refused_where_it_is(string field, string value, string pointer, int status)
    {
        var question = FiringEnergyTests.Small(FiringEnergyTests.Schedule(196, 999));
        question["tariff"] = JsonNode.Parse("""{"currency":"EUR","periods":[{"name":"flat","perKwh":"0.10"}]}""");
        (question["from"], question["to"]) = ("2026-01-14T08:00:00Z", "2026-01-16T08:00:00Z");
        question[field] = JsonNode.Parse(value);
        Assert.Equal(pointer, (await Ask(await service.MakeStudio(), question)).Expect((HttpStatusCode)status).Pointer);
    }

    [Fact]
    public async Task A_kiln_is_learnt_from_its_metered_firings_and_says_on_how_many_it_rests()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln(ratedKw: 11.5m, wall: new[] { new { material = "firebrick23", thicknessMm = 76 } });
        var path = $"{studio.Path}/kilns/{kiln}/energy-model";
        var before = (await studio.Viewer.Get(path)).Expect(HttpStatusCode.OK).Body;
        // A chamber of 184 l: 24 % by the cube root of 200/184 (published logs, see UnlearntWidth).
        Assert.Equal((0, 1.0, 24.7),
            (before.GetProperty("firings").GetInt32(), before.GetProperty("lossFactor").GetDouble(), before.GetProperty("halfWidthPercent").GetDouble()));
        var ramp = new { startC = 20, segments = new[] { new { rateCPerHour = 120, toC = 1222, holdMinutes = 10 } } };
        var schedule = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/schedules", new { name = "glaze", ramp.startC, ramp.segments }));
        // The kiln's shelves weigh π/4 · 0.533² · 0.019 · 2000 = 8.48 kg, four whole and four half ones 50.9 kg. Nothing is loaded.
        var unlearnt = (await studio.Viewer.Post("/v1/calculations/firing-energy", new
        {
            kiln = new
            {
                chamber = new { footprint = TestStudio.Circle(585), heightMm = 685 },
                ratedKw = 11.5,
                wall = new[] { new { material = "firebrick23", thicknessMm = 76 } }
            },
            load = new { wareKg = 0, furnitureKg = 50.87, stage = "bisque" },
            schedule = ramp,
        })).Expect(HttpStatusCode.OK).Body.GetProperty("energyKwh").GetDecimal();
        var took = Math.Round(unlearnt * 1.12m, 1);
        for (var day = 1; day <= 3; day++)
        {
            var firing = await studio.MakePastFiring(kiln, new DateTimeOffset(2026, 10, 4 * day, 19, 0, 0, TimeSpan.Zero), "6", schedule);
            foreach (var (hour, kwh) in ((int, decimal)[])[(0, 0m), (11, took)])
                (await studio.Technician.Post($"{studio.Path}/firings/{firing}/meter-readings", new
                {
                    readAt = new DateTimeOffset(2026, 10, 4 * day, 19, 0, 0,
                    TimeSpan.Zero).AddHours(hour).ToString("O"),
                    registerKwh = (day * 1000) + kwh
                })).Expect(HttpStatusCode.Created);
        }
        var learnt = (await studio.Viewer.Get(path)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(3, learnt.GetProperty("firings").GetInt32());
        Assert.True(learnt.GetProperty("halfWidthPercent").GetDouble() < 20);
        Assert.All(learnt.GetProperty("restsOn").EnumerateArray(), f => Assert.Equal(took, f.GetProperty("meteredKwh").GetDecimal()));
        // Three firings that agree pull the forecast to their figure, all but the prior's share of a twentieth.
        Assert.True(learnt.GetProperty("lossFactor").GetDouble() > 1);
        Assert.All(learnt.GetProperty("restsOn").EnumerateArray(), f => Assert.Equal(1, (double)(f.GetProperty("forecastKwh").GetDecimal() / took), 0.02));
        await ForecastsRestOnIt(studio, kiln, schedule, took);
        Assert.Equal("energy.kiln-not-described", (await studio.Viewer.Get($"{studio.Path}/kilns/{await studio.MakeKiln()}/energy-model"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    /// <summary>A firing's forecast, its hours and a quote all say on how many firings they rest.</summary>
    private static async Task ForecastsRestOnIt(TestStudio studio, Guid kiln, Guid schedule, decimal took)
    {
        var body = new { kilnId = kiln, kind = "glaze", cone = "6", scheduleId = schedule, startsAt = "2026-12-01T07:00:00Z" };
        var firing = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/firings", body));
        var forecast = (await studio.Viewer.Get($"{studio.Path}/firings/{firing}/energy")).Expect(HttpStatusCode.OK).Body.GetProperty("forecast");
        Assert.Equal(3, forecast.GetProperty("learntFrom").GetInt32());
        Assert.Contains("3 metered firings", forecast.GetProperty("restsOnWords").GetString(), StringComparison.Ordinal);
        Assert.InRange(forecast.GetProperty("halfWidthPercent").GetDouble(), 5, 15);
        // The usual load weighs some 28 kg; nothing was loaded in those that were metered.
        Assert.InRange(forecast.GetProperty("energyKwh").GetDecimal(), took, took * 1.3m);
        var quoted = (await studio.Potter.Post(
            $"{studio.Path}/firings/{firing}/quotes", new
            {
                pieces = new[] { new { pieceId = await studio.MakePiece(
            studio.Potter, await studio.MakeClay(), await studio.MakeGlaze()) } }
            })).Expect(HttpStatusCode.OK).Body;
        Assert.Contains("3 metered firings", quoted.GetProperty("assumption").GetString(), StringComparison.Ordinal);
        Assert.Equal(1, (double)(quoted.GetProperty("energyKwh").GetDecimal() / took), 0.04);
        // A kiln alike that nothing is learnt of: less loss, so it is cooler sooner to reach and slower to cool.
        var unlearnt = await studio.MakeKiln(ratedKw: 11.5m, wall: new[] { new { material = "firebrick23", thicknessMm = 76 } });
        var beside = TestStudio.IdOf(
            await studio.Technician.Post(studio.Path + "/firings", new { kilnId = unlearnt, body.kind, body.cone, body.scheduleId, body.startsAt }));
        var unlearntForecast = (await studio.Viewer.Get($"{studio.Path}/firings/{beside}/energy")).Expect(HttpStatusCode.OK).Body.GetProperty("forecast");
        Assert.Equal((0, 24.7), (unlearntForecast.GetProperty("learntFrom").GetInt32(), unlearntForecast.GetProperty("halfWidthPercent").GetDouble()));
        Assert.Contains("Nothing has been learnt", unlearntForecast.GetProperty("restsOnWords").GetString(), StringComparison.Ordinal);
        Assert.True(unlearntForecast.GetProperty("energyKwh").GetDecimal() < forecast.GetProperty("energyKwh").GetDecimal());
        Assert.True(await CoolingHours(studio, beside) > await CoolingHours(studio, firing));
    }

    private static async Task<decimal> CoolingHours(TestStudio studio, Guid firing) =>
        (await studio.Viewer.Get($"{studio.Path}/firings/{firing}")).Body.GetProperty("coolingHours").GetDecimal();

    private static async Task<Reply> Ask(TestStudio studio, JsonNode question) =>
        await studio.Viewer.Post("/v1/calculations/cheapest-start", question.ToJsonString());

    /// <summary>A firing with one member's ware that took 60 kWh from 20:00 to 02:00 in Berlin, 10 kW all the time.</summary>
    private static async Task<Guid> Metered(TestStudio studio, Guid kiln)
    {
        var firing = await studio.MakePastFiring(kiln, new DateTimeOffset(2026, 10, 5, 18, 0, 0, TimeSpan.Zero));
        var piece = await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze());
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/load",
            new { placed = new[] { new { pieceId = piece } }, leftBehind = Array.Empty<object>() })).Expect(HttpStatusCode.OK);
        foreach (var (at, kwh) in ((string, int)[])[("2026-10-05T18:00:00Z", 100), ("2026-10-06T00:00:00Z", 160)])
            (await studio.Technician.Post($"{studio.Path}/firings/{firing}/meter-readings", new { readAt = at, registerKwh = kwh }))
                .Expect(HttpStatusCode.Created);
        return firing;
    }
}
