using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Energy;

public sealed class UpkeepTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Resistance_and_firings_tell_what_is_due_and_on_what_that_rests()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln(11.5m, new[] { new { material = "firebrick23", thicknessMm = 76 } });
        var path = $"{studio.Path}/kilns/{kiln}/upkeep";
        var nothing = (await studio.Viewer.Get(path)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("book-incomplete", Assert.Single(nothing.GetProperty("due").EnumerateArray()).GetProperty("code").GetString());
        foreach (var kind in (string[])["elementsReplaced", "thermocoupleReplaced"])
            (await studio.Technician.Post(path, new { kind, at = "2026-01-10T09:00:00Z" })).Expect(HttpStatusCode.Created);
        (await studio.Technician.Post(path, new { kind = "resistance", at = "2026-01-10T10:00:00Z", ohms = 18m })).Expect(HttpStatusCode.Created);
        var firing = await studio.MakePastFiring(kiln, new DateTimeOffset(2026, 10, 5, 18, 0, 0, TimeSpan.Zero));
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/unmetered-energy", new
        {
            powerSamples = new[] { new { at = "2026-10-05T18:00:00Z", kw = 11.4 }, new { at = "2026-10-05T19:00:00Z", kw = 11.4 },
                new { at = "2026-10-05T20:00:00Z", kw = 5.0 } },
        })).Expect(HttpStatusCode.OK);
        await studio.Heat(firing.ToString());
        (await studio.Technician.Post(path, new { kind = "resistance", at = DateTimeOffset.UtcNow, ohms = 19.8m })).Expect(HttpStatusCode.Created);
        var upkeep = (await studio.Viewer.Get(path)).Expect(HttpStatusCode.OK).Body;
        var resistance = upkeep.GetProperty("resistance");
        // +10 % of resistance is −9.1 % of power (derived: Ohm's law); replace at about +10 % (from memory).
        Assert.Equal((10.0, 90.9, 0.0), (resistance.GetProperty("growthPercent").GetDouble(), resistance.GetProperty("powerPercent")
            .GetDouble(), resistance.GetProperty("firingsLeft").GetDouble()));
        var due = Assert.Single(upkeep.GetProperty("due").EnumerateArray());
        Assert.Equal(("elements-resistance", true), (due.GetProperty("code").GetString(), due.GetProperty("due").GetBoolean()));
        Assert.Contains("from memory", due.GetProperty("basis").GetString(), StringComparison.Ordinal);
        // One cone 6 firing of 50 (published, kiln makers' manuals).
        Assert.Equal((1, 2.0), (upkeep.GetProperty("thermocouple").GetProperty("firings").GetInt32(), upkeep.GetProperty("thermocouple")
            .GetProperty("usedPercentAtMost").GetDouble()));
        Assert.Equal(60, upkeep.GetProperty("fullPowerMinutes").GetDouble());
        Assert.True(Assert.Single(upkeep.GetProperty("fullPower").EnumerateArray()).GetProperty("measured").GetBoolean());
        (await studio.Potter.Post(path, new { kind = "elementsReplaced", at = "2026-01-10T09:00:00Z" })).Expect(HttpStatusCode.Forbidden);
        Assert.Equal("/ohms", (await studio.Technician.Post(path, new { kind = "resistance", at = "2026-01-10T09:00:00Z" }))
            .Expect(HttpStatusCode.BadRequest).Pointer);
    }
}
