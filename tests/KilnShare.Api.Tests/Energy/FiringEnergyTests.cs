using System.Net;
using System.Text.Json;
using System.Text.Json.Nodes;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Energy;

public sealed class FiringEnergyTests(Service service) : IClassFixture<Service>
{
    private const string Path = "/v1/calculations/firing-energy";

    [Fact]
    public async Task A_logged_firing_comes_out_within_a_fifth()
    {
        // 2.6 cu ft, 3 in of brick, full, to cone 06 in 10 h: 26 to 29 kWh logged (potters' mailing list, thread 43125). Wall, load and power assumed.
        var answer = (await Ask(Small(Schedule(98, 999)))).Expect(HttpStatusCode.OK).Body;
        Assert.InRange(answer.GetProperty("energyKwh").GetDouble() / 27.5, 0.8, 1.2);
        // A chamber of 75 l: 24 % by the cube root of 200/75.
        Assert.Equal(33.3, answer.GetProperty("halfWidthPercent").GetDouble());
    }

    [Fact]
    public async Task Parts_add_up_to_the_whole_and_the_curve_s_area_is_the_energy()
    {
        var answer = (await Ask(Small(Schedule(98, 999)))).Expect(HttpStatusCode.OK).Body;
        var energyKwh = answer.GetProperty("energyKwh").GetDecimal();
        Assert.Equal(energyKwh, answer.GetProperty("byPart").EnumerateObject().Sum(p => p.Value.GetDecimal()));
        var curve = answer.GetProperty("curve").EnumerateArray().Select(p => (At: p.GetProperty("atSeconds").GetDouble(), Kw: p.GetProperty("kw").GetDouble()))
            .ToArray();
        Assert.InRange(curve.Length, 100, 600);
        Assert.Equal((double)energyKwh, curve.Zip(curve.Skip(1), (a, b) => b.Kw * (b.At - a.At) / 3600).Sum(), 0.02);
        // 979 K at 98 °C/h.
        Assert.Equal(9.990, answer.GetProperty("hours").GetDouble());
    }

    [Fact]
    public async Task What_is_reached_is_told_by_the_true_curve()
    {
        // The cone maker's table (2016): self-supporting cone 06 at 60 °C/h is down at 998 °C.
        var reached = (await Ask(Small(Schedule(60, 999)))).Expect(HttpStatusCode.OK).Body.GetProperty("reached");
        Assert.Equal(999, reached.GetProperty("peakC").GetDouble());
        Assert.Equal("06", reached.GetProperty("equivalent").GetProperty("down").GetString());
    }

    [Fact]
    public async Task A_flat_tariff_costs_the_energy_times_its_price()
    {
        var question = Small(Schedule(98, 999));
        question["tariff"] = JsonNode.Parse(
            """{"currency":"EUR","periods":[{"name":"flat","perKwh":"0.09"}],"perFiring":"1.20","taxes":[{"name":"vat","percent":"20"}]}""");
        var answer = (await Ask(question)).Expect(HttpStatusCode.OK).Body;
        var lines = answer.GetProperty("cost").GetProperty("lines").EnumerateArray()
            .ToDictionary(l => l.GetProperty("name").GetString()!, l => l.GetProperty("amountMinor").GetInt64(), StringComparer.Ordinal);
        var energy = (long)Math.Round(answer.GetProperty("energyKwh").GetDecimal() * 9, MidpointRounding.AwayFromZero);
        Assert.Equal(energy, lines["flat"]);
        Assert.Equal(120, lines["firing"]);
        Assert.Equal((long)Math.Round((energy + 120) * 0.2m, MidpointRounding.AwayFromZero), lines["vat"]);
        Assert.Equal(lines.Values.Sum(), answer.GetProperty("cost").GetProperty("totalMinor").GetInt64());
    }

    [Fact]
    public async Task A_tariff_by_the_clock_goes_by_the_zone_and_needs_a_start()
    {
        var question = Small(Schedule(98, 999));
        question["tariff"] = JsonNode.Parse(
            """{"currency":"EUR","periods":[{"name":"night","from":"22:00","to":"08:00","perKwh":"0.10"},{"name":"day","from":"08:00","to":"22:00","perKwh":"0.40"}]}""");
        var refused = (await Ask(question)).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal(("energy.start-missing", "/startsAt"), (refused.Code, refused.Pointer));
        question["startsAt"] = "2026-01-14T21:00:00Z";
        // By UTC the firing begins in the day; in Berlin it is 22:00 already, and ten hours later still night.
        Assert.Equal(2, (await Ask(question)).Body.GetProperty("cost").GetProperty("lines").GetArrayLength());
        question["zone"] = "Europe/Berlin";
        var lines = (await Ask(question)).Body.GetProperty("cost").GetProperty("lines").EnumerateArray().ToArray();
        Assert.Equal("night", Assert.Single(lines).GetProperty("name").GetString());
    }

    [Fact]
    public async Task A_kiln_too_weak_says_where_it_falls_behind_and_what_it_reaches()
    {
        var question = Small(Schedule(200, 1250));
        question["kiln"]!["ratedKw"] = 3;
        var answer = (await Ask(question)).Expect(HttpStatusCode.OK).Body;
        Assert.NotEmpty(answer.GetProperty("limited").EnumerateArray());
        Assert.Contains("kiln", answer.GetProperty("caution").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_wall_by_own_figures_is_the_same_as_by_its_name()
    {
        // The figures of grade 23 brick: density 530 (data sheets, 480–580), conductivity 0.12 + 10⁻⁴ times the mean temperature (a public design text).
        var byName = (await Ask(Small(Schedule(98, 999)))).Text;
        var question = Small(Schedule(98, 999));
        question["kiln"]!["wall"]![0]!["material"] = JsonNode.Parse(
            """{"densityKgPerM3":530,"heatCapacityJPerKgK":1050,"conductivity":[{"meanC":0,"wPerMK":0.12},{"meanC":1500,"wPerMK":0.27}]}""");
        Assert.Equal(byName, (await Ask(question)).Expect(HttpStatusCode.OK).Text);
    }

    [Theory]
    [InlineData("kiln/ratedKw", "0", "/kiln/ratedKw", 400)]
    [InlineData("kiln/wall", "[]", "/kiln/wall", 400)]
    [InlineData("kiln/wall", "[null]", "/kiln/wall/0", 400)]
    [InlineData("kiln/wall/0/material", "\"marble\"", "/kiln/wall/0/material", 400)]
    [InlineData("kiln/wall/0/material", "null", "/kiln/wall/0/material", 400)]
    [InlineData("kiln/wall/0/material", """{"densityKgPerM3":530}""", "/kiln/wall/0/material/heatCapacityJPerKgK", 400)]
    [InlineData("kiln/wall/0/material", """{"densityKgPerM3":530,"heatCapacityJPerKgK":1050,"conductivity":[]}""", "/kiln/wall/0/material/conductivity", 400)]
    [InlineData("kiln/wall/0/thicknessMm", "0", "/kiln/wall/0/thicknessMm", 400)]
    [InlineData("kiln/lossFactor", "99", "/kiln/lossFactor", 400)]
    [InlineData("kiln/chamber/heightMm", "0", "/kiln/chamber/heightMm", 400)]
    [InlineData("load/wareKg", "-1", "/load/wareKg", 400)]
    [InlineData("load/stage", "\"raw\"", "/load/stage", 400)]
    [InlineData("ambientC", "80", "/ambientC", 400)]
    [InlineData("schedule/segments", "[]", "/schedule/segments", 400)]
    [InlineData("schedule/segments/0/toC", "1800", "/schedule/segments/0/toC", 400)]
    [InlineData("schedule/segments/0/rateCPerHour", "-5", "/schedule/segments/0/rateCPerHour", 400)]
    [InlineData("schedule/segments/0/rateCPerHour", "1.1", "/schedule/segments", 422)]
    [InlineData("zone", "\"Mars/Olympus\"", "/zone", 400)]
    [InlineData("tariff", """{"currency":"EUR","periods":[]}""", "/tariff/periods", 400)]
    [InlineData("tariff", """{"currency":"eur","periods":[{"name":"flat","perKwh":"0.1"}]}""", "/tariff/currency", 400)]
    [InlineData("tariff", """{"currency":"EUR","periods":[{"name":"flat","perKwh":"0,1"}]}""", "/tariff/periods/0/perKwh", 400)]
    [InlineData("tariff", """{"currency":"EUR","periods":[{"name":"flat","perKwh":null}]}""", "/tariff/periods/0/perKwh", 400)]
    [InlineData("tariff", """{"currency":"EUR","periods":[{"name":"flat","perKwh":"0.1","from":"25:00"}]}""", "/tariff/periods/0/from", 400)]
    [InlineData("tariff", """{"currency":"EUR","periods":[{"name":"flat","perKwh":"0.1","months":"13"}]}""", "/tariff/periods/0/months", 400)]
    [InlineData("tariff", """{"currency":"EUR","periods":[{"name":"day","perKwh":"0.1","from":"08:00"}]}""", "/tariff/periods", 422)]
    [InlineData("tariff", """{"currency":"EUR","periods":[{"name":"a","perKwh":"0.1"},{"name":"b","perKwh":"0.1"}]}""", "/tariff/periods/1", 422)]
    [InlineData("tariff", """{"currency":"EUR","periods":[{"name":"a","perKwh":"0.1"}],"demandMinutes":7}""", "/tariff/demandMinutes", 400)]
    [InlineData("tariff", """{"currency":"EUR","periods":[{"name":"a","perKwh":"0.1"}],"taxes":[{"name":"vat","percent":"-1"}]}""",
        "/tariff/taxes/0/percent", 400)]
    public async Task What_cannot_be_is_refused_where_it_is(string place, string value, string pointer, int status)
    {
        var question = Small(Schedule(98, 999));
        var parts = place.Split('/');
        JsonNode at = question;
        foreach (var part in parts[..^1]) at = int.TryParse(part, out var index) ? at[index]! : at[part]!;
        at[parts[^1]] = JsonNode.Parse(value);
        var refused = (await Ask(question)).Expect((HttpStatusCode)status);
        Assert.Equal(pointer, refused.Pointer);
    }

    /// <summary>A kiln of about 2.6 cu ft with 3 in of brick, full.</summary>
    public static JsonNode Small(object schedule) => JsonNode.Parse(JsonSerializer.Serialize(new
    {
        kiln = new
        {
            chamber = new { footprint = new { kind = "octagon", acrossFlatsMm = 445 }, heightMm = 457 },
            ratedKw = 5.5,
            wall = new[] { new { material = "firebrick23", thicknessMm = 76 } },
        },
        load = new { wareKg = 18, furnitureKg = 11, stage = "bisque" },
        ambientC = 20,
        schedule,
    }))!;

    /// <summary>One ramp from a room at 20 °C.</summary>
    public static object Schedule(double rateCPerHour, double toC) => new { startC = 20, segments = new[] { new { rateCPerHour, toC, holdMinutes = 0 } } };

    private async Task<Reply> Ask(JsonNode question) => await (await service.MakeStudio()).Viewer.Post(Path, question.ToJsonString());
}
