using System.Net;
using System.Xml.Linq;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Firings;

public sealed class CurveTests(Service service) : IClassFixture<Service>
{
    private static readonly DateTimeOffset Start = TimeProvider.System.GetUtcNow().AddHours(-26);
    private static readonly XNamespace Svg = "http://www.w3.org/2000/svg";

    [Fact]
    public async Task A_curve_is_a_picture_that_may_load_nothing_and_names_what_it_shows()
    {
        var (studio, path) = await Open();
        var reply = (await studio.Viewer.Get(path + "/curve.svg")).Expect(HttpStatusCode.OK);
        Assert.StartsWith("image/svg+xml", reply.ContentType, StringComparison.Ordinal);
        Assert.Equal("default-src 'none'; style-src 'unsafe-inline'", Assert.Single(reply.Headers.GetValues("Content-Security-Policy")));
        Keep("schedule", reply.Text);
        var picture = XDocument.Parse(reply.Text).Root!;
        Assert.Equal("Glaze firing to cone 6", picture.Element(Svg + "title")!.Value);
        Assert.Contains("not fired yet", picture.Element(Svg + "desc")!.Value, StringComparison.Ordinal);
        Assert.Contains("1222 °C", picture.Element(Svg + "desc")!.Value, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_log_is_drawn_over_its_schedule_in_either_unit()
    {
        var (studio, path) = await Open();
        var readings = Enumerable.Range(0, 1500).Select(i => new { sequence = i, at = Start.AddMinutes(i).ToString("O"), temperature = Temperature(i) });
        (await studio.Technician.Post(path + "/readings", new { readings })).Expect(HttpStatusCode.OK);
        var celsius = (await studio.Viewer.Get(path + "/curve.svg")).Expect(HttpStatusCode.OK).Text;
        var fahrenheit = (await studio.Viewer.Get(path + "/curve.svg?unit=fahrenheit")).Expect(HttpStatusCode.OK).Text;
        Keep("log", celsius);
        Keep("log-fahrenheit", fahrenheit);
        // Schedule, log, and the three cones of a pack.
        Assert.Equal(5, XDocument.Parse(celsius).Descendants(Svg + "polyline").Count());
        Assert.Contains("cone 7", celsius, StringComparison.Ordinal);
        // 1228 °C are 1.8 × 1228 + 32 = 2242.4 °F.
        Assert.Contains("2242 °F", fahrenheit, StringComparison.Ordinal);
        Assert.DoesNotContain("°C", fahrenheit, StringComparison.Ordinal);
        (await studio.Viewer.Get(path + "/curve.svg?unit=kelvin")).Expect(HttpStatusCode.BadRequest);
    }

    [Fact]
    public async Task A_firing_with_neither_schedule_nor_log_has_nothing_to_draw()
    {
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        Assert.Equal("firings.nothing-to-draw", (await studio.Viewer.Get($"{studio.Path}/firings/{firing}/curve.svg"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        (await studio.Viewer.Get($"{studio.Path}/firings/{Guid.NewGuid()}/curve.svg")).Expect(HttpStatusCode.NotFound);
    }

    // Behind the schedule on the way up, then the fall of a kiln that is switched off.
    private static double Temperature(int minute) => minute switch
    {
        < 400 => 20 + (minute * 1.6),
        < 760 => 660 + ((minute - 400) * 568 / 360.0),
        < 780 => 1228,
        _ => 20 + (1208 * Math.Exp(-(minute - 780) / 320.0)),
    };

    /// <summary>Leaves a picture to be looked at where a folder is named.</summary>
    private static void Keep(string name, string picture)
    {
        if (Environment.GetEnvironmentVariable("KILNSHARE_TEST_PICTURES") is { Length: > 0 } folder)
            File.WriteAllText(Path.Combine(folder, name + ".svg"), picture);
    }

    private async Task<(TestStudio Studio, string Path)> Open()
    {
        var studio = await service.MakeStudio();
        var segments = new[] { new { rateCPerHour = 100, toC = 600, holdMinutes = 0 }, new { rateCPerHour = 150, toC = 1122, holdMinutes = 0 },
            new { rateCPerHour = 60, toC = 1222, holdMinutes = 15 } };
        var schedule = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/schedules", new { name = "glaze", startC = 20, segments }));
        return (studio, $"{studio.Path}/firings/{await studio.MakePastFiring(await studio.MakeKiln(), Start, "6", schedule)}");
    }
}
