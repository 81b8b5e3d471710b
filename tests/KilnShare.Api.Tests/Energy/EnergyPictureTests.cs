using System.Net;
using System.Xml.Linq;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Energy;

public sealed class EnergyPictureTests(Service service) : IClassFixture<Service>
{
    private static readonly DateTimeOffset Start = new(2026, 10, 5, 18, 0, 0, TimeSpan.Zero);

    [Fact]
    public async Task A_forecast_is_drawn_with_its_power_under_its_temperature()
    {
        var studio = await service.MakeStudio();
        var picture = Svg((await studio.Viewer.Post(
            "/v1/calculations/firing-energy/picture", FiringEnergyTests.Small(FiringEnergyTests.Schedule(196, 999)).ToJsonString())).Expect(HttpStatusCode.OK));
        Assert.Contains("kWh, give or take 33 %", picture.Descendants().First(e => e.Name.LocalName == "desc").Value, StringComparison.Ordinal);
        Assert.Equal(2, picture.Descendants().Count(e => e.Name.LocalName == "polyline"));
        Assert.Contains(picture.Descendants(), e => e.Value.Contains("no safety device", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_firing_s_forecast_log_and_meter_are_drawn_over_each_other()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln(11.5m, new[] { new { material = "firebrick23", thicknessMm = 76 } });
        var schedule = TestStudio.IdOf(await studio.Technician.Post(
            studio.Path + "/schedules", new { name = "glaze", startC = 20, segments = new[] { new { rateCPerHour = 120, toC = 1222, holdMinutes = 10 } } }));
        var firing = await studio.MakePastFiring(kiln, Start, "6", schedule);
        var path = $"{studio.Path}/firings/{firing}";
        foreach (var (hour, kwh) in ((int, decimal)[])[(0, 100), (3, 112), (6, 132), (10, 176)])
            (await studio.Technician.Post(path + "/meter-readings", new { readAt = Start.AddHours(hour).ToString("O"), registerKwh = kwh }))
                .Expect(HttpStatusCode.Created);
        var readings = Enumerable.Range(0, 126)
            .Select(i => new { sequence = i, at = Start.AddMinutes(5 * i).ToString("O"), temperature = Math.Min(1215, 20 + (9.8 * i)) }).ToArray();
        (await studio.Technician.Post(path + "/readings", new { readings })).Expect(HttpStatusCode.OK);
        var picture = Svg((await studio.Viewer.Get(path + "/energy.svg")).Expect(HttpStatusCode.OK));
        Assert.Contains("read 76 kWh", picture.Descendants().First(e => e.Name.LocalName == "desc").Value, StringComparison.Ordinal);
        Assert.Equal(4, picture.Descendants().Count(e => e.Name.LocalName == "polyline"));
        var bare = await studio.MakePastFiring(await studio.MakeKiln(), Start);
        Assert.Equal("energy.nothing-to-draw", (await studio.Viewer.Get($"{studio.Path}/firings/{bare}/energy.svg"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    private static XDocument Svg(Reply reply)
    {
        Assert.StartsWith("image/svg+xml", reply.ContentType, StringComparison.Ordinal);
        Keep($"energy-{reply.Text.Length}", reply.Text);
        return XDocument.Parse(reply.Text);
    }

    /// <summary>Leaves a picture to be looked at where a folder is named.</summary>
    private static void Keep(string name, string picture)
    {
        if (Environment.GetEnvironmentVariable("KILNSHARE_TEST_PICTURES") is { Length: > 0 } folder)
            File.WriteAllText(Path.Combine(folder, name + ".svg"), picture);
    }
}
