using System.Net.Http.Headers;
using System.Text;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;

namespace KilnShare.Api.Tests.Document;

/// <summary>The chapters on schedules, logs, energy, house rules, racks and books.</summary>
public sealed partial class Story
{
    private const string Segments = """[{"rateCPerHour":100,"toC":600},{"rateCPerHour":150,"toC":1122},{"rateCPerHour":60,"toC":1222,"holdMinutes":10}]""";

    private const string Heat = """
        "kiln":{"chamber":{"footprint":{"kind":"circle","diameterMm":585},"heightMm":685},"ratedKw":11.5,"wall":[{"material":"firebrick23","thicknessMm":76}],
         "lossFactor":1.0},
        "load":{"wareKg":40,"furnitureKg":25,"stage":"bisque","moisturePercent":0},"ambientC":15,"schedule":{"startC":15,"segments":[{"rateCPerHour":100,
         "toC":600},{"rateCPerHour":150,"toC":1222,"holdMinutes":10}]}
        """;

    private const string Tariff =
        """
        {"currency":"EUR","periods":[{"name":"night","from":"22:00","to":"06:00","perKwh":"0.2468"},{"name":"day","from":"06:00","to":"22:00",
         "perKwh":"0.3312"}],"perFiring":"1.20","taxes":[{"name":"vat","percent":"19"}]}
        """;

    private async Task<string> Tariffs()
    {
        var tariff = Id(await Ask(owner, "POST", studio + "/tariffs", Tariff.Insert(1, "\"name\":\"night and day\",")));
        await Ask(owner, "GET", studio + "/tariffs");
        await Ask(owner, "GET", $"{studio}/tariffs/{tariff}");
        return tariff;
    }

    private async Task<string> Plans(string kiln)
    {
        var schedule = Id(await Ask(owner, "POST", studio + "/schedules",
            $$"""{"name":"cone 6 with a short hold","purpose":"mid-range glaze on bisque","startC":20,"segments":{{Segments}} }"""));
        await Ask(owner, "GET", studio + "/schedules");
        await Ask(owner, "GET", $"{studio}/schedules/{schedule}");
        await Ask(owner, "GET", "/v1/schedules/starting");
        await Ask(owner, "PUT", $"{studio}/kilns/{kiln}/service", """{"outOfServiceReason":"two elements are worn out"}""");
        await Ask(owner, "PUT", $"{studio}/kilns/{kiln}/service", """{"outOfServiceReason":null}""");
        return schedule;
    }

    private async Task HouseAndRacks(string kiln, string[] pieces, string memberId)
    {
        await Ask(owner, "PUT", studio + "/house-rules", """{"outsideMaterialNeedsTestAndCatcher":true}""");
        await Ask(owner, "GET", studio + "/house-rules");
        await Ask(owner, "GET", "/v1/co-firing-rules");
        await Ask(owner, "POST", $"{studio}/pieces/{pieces[0]}/custody", """{"kind":"handedIn","copies":[0],"rack":"left rack, second board"}""");
        await Ask(owner, "GET", $"{studio}/pieces/{pieces[0]}/custody");
        await Ask(owner, "GET", studio + "/uncollected?days=14");
        await Ask(owner, "PUT", studio + "/cost-rules", $$"""
            {"energyBasis":"volume","wearBasis":"equal","minimumMinor":200,"unusedSpace":"spread","surcharges":[{"name":"catcher","eachMinor":50}],
             "discounts":[{"memberId":"{{memberId}}","percent":10}],
             "wearRates":[{"kind":"bisque","percent":80}],"failed":{"shortPercent":50,"overPercent":0,"abortedPercent":0,"cancelledPercent":0},
             "withdrawal":[{"hoursBefore":72,"flatMinor":150},{"hoursBefore":24,"percent":50}] }
            """);
        await Ask(owner, "GET", studio + "/cost-rules");
        await Ask(owner, "GET", $"{studio}/kilns/{kiln}/levels");
        await Ask(owner, "GET", $"{studio}/kilns/{kiln}/energy-model");
        foreach (var entry in new[] { """{"kind":"elementsReplaced","at":"2026-01-10T09:00:00+01:00"}""",
            """{"kind":"thermocoupleReplaced","at":"2026-01-10T09:00:00+01:00"}""", """{"kind":"resistance","at":"2026-01-10T10:00:00+01:00","ohms":18.2}""",
            """{"kind":"resistance","at":"2026-09-10T10:00:00+02:00","ohms":19.6,"note":"measured at the plug"}""" })
            await Ask(owner, "POST", $"{studio}/kilns/{kiln}/upkeep", entry);
        await Ask(owner, "GET", $"{studio}/kilns/{kiln}/upkeep");
    }

    /// <summary>Room is kept in a firing that is always to come.</summary>
    private async Task Reserve(string kiln, string piece)
    {
        var farOff = $"{studio}/firings/" + Id(await Ask(owner, "POST", studio + "/firings", $$"""
            {"kilnId":"{{kiln}}","kind":"glaze","cone":"6","startsAt":"2077-04-14T07:00:00+01:00","firingHours":10,"coolingHours":12}
            """));
        await Ask(owner, "PUT", farOff + "/state", """{"state":"accepting"}""");
        var reserve = Id(await Ask(owner, "POST", farOff + "/reserves",
            """{"room":[{"footprint":{"kind":"rectangle","widthMm":165,"depthMm":120},"heightMm":50,"massG":600,"quantity":2}]}"""));
        var booking = Id(await Ask(owner, "POST", farOff + "/bookings",
            $$"""{"pieces":[{"pieceId":"{{piece}}","copies":[0],"wish":"hot"}],"reserveId":"{{reserve}}","mayWait":true}"""));
        foreach (var id in new[] { booking, reserve }) await Ask(owner, "POST", $"{farOff}/bookings/{id}/withdrawal");
    }

    private async Task Light(string firing, string memberId)
    {
        await Ask(owner, "PUT", firing + "/lighting-checks",
            """{"ventOn":true,"witnessConesPlaced":true,"plugsAsWanted":true,"shelvesWashed":true,"nothingFlammableNear":true,"presentAtEnd":"Ada"}""");
        await Ask(owner, "GET", firing + "/lighting-checks");
        await Ask(owner, "PUT", firing + "/surcharges", $$"""{"surcharges":[{"memberId":"{{memberId}}","name":"catcher","count":1}]}""");
        await Ask(owner, "GET", firing + "/surcharges");
    }

    private async Task Watch(string firing)
    {
        var lit = service.Services.GetRequiredService<IClock>().GetCurrentInstant().ToDateTimeOffset();
        var readings = string.Join(
            ',', Enumerable.Range(1, 3).Select(i => $$"""{"sequence":{{i}},"at":"{{lit.AddSeconds(i):yyyy-MM-ddTHH:mm:ssZ}}","temperature":{{20 + i}}.5}"""));
        await Ask(owner, "POST", firing + "/readings", $$"""{"unit":"celsius","run":1,"readings":[{{readings}}]}""");
        await Ask(
            owner, "POST", $"{firing}/readings/csv?startedAt={lit:yyyy-MM-ddTHH:mm:ssZ}", string.Join(
                '\n', ["Time (s);Temperature (°C);Set point (°C)", .. Enumerable.Range(4, 3).Select(i => $"{i};{20 + i},5;{21 + i},0")]) + "\n", "text/csv");
        await Ask(owner, "GET", firing + "/readings?resolution=raw");
        await Ask(owner, "GET", firing + "/firing-progress");
        await Fetch("GET", firing + "/curve.svg?unit=celsius");
    }

    private async Task ReadEnergy(string kiln, string firing)
    {
        await Ask(owner, "GET", firing + "/energy?from=2027-03-14T08:00:00Z&to=2027-03-14T10:00:00Z");
        await Fetch("GET", firing + "/energy.svg");
        var unread = $"{studio}/firings/" + Id(await Ask(owner, "POST", studio + "/firings", $$"""
            {"kilnId":"{{kiln}}","kind":"bisque","cone":"06","startsAt":"2027-05-14T07:00:00+01:00","firingHours":16,"coolingHours":20}
            """));
        await Ask(owner, "PUT", unread + "/unmetered-energy", """{"ratedKw":11.52,"duty":[{"hours":7,"dutyPercent":15},{"hours":9,"dutyPercent":50}]}""");
        await Ask(owner, "GET", unread + "/unmetered-energy");
    }

    private async Task ReadWitnesses(string firing, string piece)
    {
        await Ask(owner, "GET", firing + "/firing-report");
        await Ask(owner, "POST", firing + "/witness-cones", """{"cones":[{"level":"bottom","cone":"6","seen":"bending"}]}""");
        await Ask(owner, "GET", firing + "/witness-cones");
        await Ask(owner, "POST", firing + "/corrections",
            $$"""
            {"outcome":"over","reached":{"cone":"7","peakC":1241 },"placed":[{"pieceId":"{{piece}}","copies":[0,1,2]}],
             "reason":"cone 7 was down on every shelf"}
            """);
        await Ask(owner, "POST", firing + "/corrections", """{"outcome":"sound","reason":"it was last week's cone pack"}""");
        await Ask(owner, "GET", firing + "/corrections");
    }

    private async Task Books(string firing, string memberId)
    {
        var owed = Id(await Ask(owner, "POST", studio + "/members", """{"name":"Dana","role":"potter"}"""));
        await Ask(owner, "POST", firing + "/settlement/corrections", """{"energyKwh":61.9,"reason":"the end was misread"}""");
        foreach (var paper in new[] { "/bill.csv", "/bill.pdf" }) await Fetch("GET", firing + paper);
        await Ask(owner, "GET", firing + "/bill");
        await Ask(owner, "POST", firing + "/incidents",
            $$"""
            {"causedBy":"{{memberId}}","losses":[{"memberId":"{{owed}}","amountMinor":1500,"what":"a half shelf"}],"reason":"glaze ran onto the shelf"}
            """);
        await Ask(owner, "GET", firing + "/incidents");
        await Ask(owner, "POST", studio + "/payments", $$"""{"memberId":"{{memberId}}","kind":"payment","amountMinor":2000,"reason":"cash, March"}""");
        await Ask(owner, "GET", studio + "/payments");
        const string Period = "?from=2026-01-01&to=2028-01-01";
        await Ask(owner, "GET", $"{studio}/accounts/{memberId}/statement{Period}");
        foreach (var paper in new[] { ".csv", ".pdf" }) await Fetch("GET", $"{studio}/accounts/{memberId}/statement{paper}{Period}");
        await Ask(owner, "GET", studio + "/years/2027");
        foreach (var paper in new[] { ".csv", ".pdf" }) await Fetch("GET", studio + "/years/2027" + paper);
        await Ask(owner, "PUT", studio + "/closings/2026-01");
        await Ask(owner, "GET", studio + "/closings");
    }

    private async Task CalculateFirings()
    {
        await Ask(owner, "POST", "/v1/calculations/heat-work",
            """{"series":"selfSupporting","schedule":{"startC":20,"segments":[{"rateCPerHour":60,"toC":1222,"holdMinutes":0}]}}""");
        await Ask(owner, "POST", "/v1/calculations/firing-energy",
            $$$"""{{{{Heat}}},"tariff":{{{Tariff}}},"startsAt":"2027-03-14T07:00:00+01:00","zone":"Europe/Berlin"}""");
        await Fetch("POST", "/v1/calculations/firing-energy/picture", $$$"""{{{{Heat}}}}""");
        await Ask(owner, "POST", "/v1/calculations/cheapest-start",
            $$$"""{{{{Heat}}},"tariff":{{{Tariff}}},"zone":"Europe/Berlin","from":"2027-03-14T07:00:00+01:00","to":"2027-03-15T07:00:00+01:00"}""");
        await Ask(owner, "POST", "/v1/calculations/schedule-forecast",
            $$$"""{"schedule":{"startC":20,"segments":{{{Segments}}}},"ware":{"thickestWallMm":8,"stage":"bisque"}}""");
        await Ask(owner, "POST", "/v1/calculations/schedule-units",
            """{"startF":70,"segments":[{"rateFPerHour":100,"toF":220},{"rateFPerHour":350,"toF":2000},{"rateFPerHour":150,"toF":2127,"holdMinutes":15}]}""");
        await Ask(owner, "POST", "/v1/calculations/schedule-peak", """{"cone":"6","endRateCPerHour":60,"holdMinutes":15}""");
        await Ask(owner, "POST", "/v1/calculations/schedule-fit",
            $$$"""{"schedule":{"startC":20,"segments":{{{Segments}}}},"hours":14,"ware":{"thickestWallMm":8,"stage":"bisque"},"kilnCPerHour":250}""");
        await Ask(owner, "POST", "/v1/calculations/firing-groups", """
            {"pieces":[{"id":"mug-1","stage":"bisque","clay":{"name":"grey stoneware","cones":{"from":"5","to":"7"}},"layers":[{"glaze":{"name":"quiet white",
             "cones":{"from":"5","to":"6"},"atmospheres":["oxidation"],"movement":"stable"}}]},
                       {"id":"dish","stage":"bisque","clay":{"name":"red earthenware","cones":{"from":"06","to":"02"}},"layers":[{"glaze":{"name":"honey",
                        "cones":{"from":"06","to":"04"},"atmospheres":["oxidation"],"movement":"stable"}}]}]}
            """);
    }

    private async Task Fetch(string method, string path, string? body = null)
    {
        using var request = new HttpRequestMessage(new HttpMethod(method), path);
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", owner);
        if (body is not null) request.Content = new StringContent(body, Encoding.UTF8, "application/json");
        using var response = await client.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.True(response.IsSuccessStatusCode, $"{method} {path}: {(int)response.StatusCode}");
    }
}
