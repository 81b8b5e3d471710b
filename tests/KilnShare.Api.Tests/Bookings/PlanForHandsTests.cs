using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>A plan keeps its room in one piece while bookings come, and is shared out for hands when its firing is fixed.</summary>
public sealed class PlanForHandsTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Fixing_a_firing_shares_its_plan_out_and_changes_nothing_else_of_it()
    {
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        var piece = await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze(), quantity: 9);
        var path = $"{studio.Path}/firings/{firing}";
        (await studio.Potter.Post(path + "/bookings", new { pieces = new[] { new { pieceId = piece } } })).Expect(HttpStatusCode.Created);
        var before = (await studio.Viewer.Get(path + "/load-plan")).Expect(HttpStatusCode.OK).Body;

        (await studio.Technician.Put(path + "/state", new { state = "fixed" })).Expect(HttpStatusCode.OK);

        var after = (await studio.Viewer.Get(path + "/load-plan")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(before.GetProperty("loadVersion").GetInt64() + 1, after.GetProperty("loadVersion").GetInt64());
        Assert.Equal(ShelvesOf(before), ShelvesOf(after));
        Assert.Equal(before.GetProperty("plan").GetProperty("posts").GetRawText(), after.GetProperty("plan").GetProperty("posts").GetRawText());
        Assert.All(OffBy(before), off => Assert.InRange(off, 3m, 3.1m));
        Assert.All(OffBy(after), off => Assert.True(off > 10m, $"hands may be off by {off} mm"));
        // There is nothing more to share out.
        (await studio.Technician.Post(path + "/load-plan", new { })).Expect(HttpStatusCode.OK);
        Assert.Equal(OffBy(after), OffBy((await studio.Viewer.Get(path + "/load-plan")).Expect(HttpStatusCode.OK).Body));
    }

    [Fact]
    public async Task A_fixed_firing_that_is_planned_anew_on_other_shelves_is_shared_out_there()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var path = $"{studio.Path}/firings/{await studio.MakeFiring(kiln)}";
        var piece = await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze(), quantity: 9);
        (await studio.Potter.Post(path + "/bookings", new { pieces = new[] { new { pieceId = piece } } })).Expect(HttpStatusCode.Created);
        (await studio.Technician.Put(path + "/state", new { state = "fixed" })).Expect(HttpStatusCode.OK);
        object[] shelves = [new { id = "new", footprint = TestStudio.Circle(533), thicknessMm = 19, count = 4 }];
        object[] posts = [new { heightMm = 25, count = 9 }, new { heightMm = 150, count = 12 }];
        (await studio.Technician.Put($"{studio.Path}/kilns/{kiln}/furniture", new { shelves, posts }, "*")).Expect(HttpStatusCode.OK);

        (await studio.Technician.Post(path + "/load-plan", new { })).Expect(HttpStatusCode.OK);

        var anew = (await studio.Viewer.Get(path + "/load-plan")).Expect(HttpStatusCode.OK).Body;
        Assert.All(anew.GetProperty("plan").GetProperty("shelves").EnumerateArray(), s => Assert.Equal("new", s.GetProperty("shelfId").GetString()));
        Assert.All(OffBy(anew), off => Assert.True(off > 10m, $"hands may be off by {off} mm"));
    }

    // Shelf by shelf: its height, its kind and what stands on it.
    private static List<string> ShelvesOf(JsonElement answer) =>
        [.. answer.GetProperty("plan").GetProperty("shelves").EnumerateArray()
            .Select(s => $"{s.GetProperty("topMm")} {s.GetProperty("shelfId")} {CopiesOn(s)}")];

    private static string CopiesOn(JsonElement shelf) =>
        string.Join(' ', shelf.GetProperty("placements").EnumerateArray().Select(p => p.GetProperty("copies").GetRawText()).Order(StringComparer.Ordinal));

    private static List<decimal> OffBy(JsonElement answer) =>
        [.. answer.GetProperty("plan").GetProperty("shelves").EnumerateArray().Select(s => s.GetProperty("handsMayBeOffMm").GetDecimal())];
}
