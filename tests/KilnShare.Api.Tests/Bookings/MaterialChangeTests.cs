using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>
/// A glaze or a clay turns out to be another than the studio thought while ware of it is booked: nobody is unbooked, and everybody can see it.
/// </summary>
public sealed class MaterialChangeTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Ware_of_a_glaze_that_cannot_bear_the_firing_stays_booked_and_the_plan_says_so()
    {
        var studio = await service.MakeStudio();
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var firing = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln())}";
        var (mine, other) = (await studio.MakePiece(studio.Potter, clay, glaze), await studio.MakePiece(studio.OtherPotter, clay, await studio.MakeGlaze()));
        var booking = TestStudio.IdOf(await studio.Potter.Post(firing + "/bookings", new { pieces = new[] { new { pieceId = mine } } }));
        TestStudio.IdOf(await studio.OtherPotter.Post(firing + "/bookings", new { pieces = new[] { new { pieceId = other } } }));
        Assert.Empty(await Doubts(studio, firing));

        await Edit(studio, "glazes", glaze, new { cones = new { from = "08", to = "06" } });

        Assert.Equal("confirmed", (await studio.Potter.Get($"{firing}/bookings/{booking}")).Body.GetProperty("state").GetString());
        var doubts = await Doubts(studio, firing);
        Assert.Contains(doubts, d => d.Rule == "glaze-top-cone" && d.Verdict == "incompatible");
        Assert.All(doubts, d => Assert.Equal([mine.ToString()], d.Pieces));
        var said = (await studio.Potter.Get($"{firing}/bookings/{booking}/findings")).Expect(HttpStatusCode.OK).Body.GetProperty("findings");
        Assert.Contains(said.EnumerateArray(), f => f.GetProperty("rule").GetString() == "glaze-top-cone");
        Assert.Equal(1, await Told(studio, 1));

        await Edit(studio, "glazes", glaze, new { cones = new { from = "4", to = "7" } });
        Assert.Empty(await Doubts(studio, firing));
    }

    [Fact]
    public async Task A_clay_counts_as_a_glaze_does_and_a_firing_without_ware_of_it_is_left_alone()
    {
        var studio = await service.MakeStudio();
        var (clay, otherClay, glaze, kiln) = (await studio.MakeClay(), await studio.MakeClay(), await studio.MakeGlaze(), await studio.MakeKiln());
        var firings = new List<string>();
        foreach (var (turn, made) in new[] { (2, clay), (8, otherClay) })
        {
            firings.Add($"{studio.Path}/firings/{await studio.MakeFiring(kiln, turn)}");
            TestStudio.IdOf(await studio.Potter.Post(
                firings[^1] + "/bookings", new { pieces = new[] { new { pieceId = await studio.MakePiece(studio.Potter, made, glaze) } } }));
        }

        await Edit(studio, "clays", clay, new { cones = new { from = "04", to = "02" } });

        Assert.Contains(await Doubts(studio, firings[0]), d => d.Rule == "body-top-cone");
        Assert.Empty(await Doubts(studio, firings[1]));
        Assert.Equal(1, await Told(studio, 1));
    }

    private static async Task Edit(TestStudio studio, string list, Guid id, object change)
    {
        var path = $"{studio.Path}/{list}/{id}";
        (await studio.Technician.Patch(path, change, await studio.Technician.Tag(path))).Expect(HttpStatusCode.OK);
    }

    private static async Task<IReadOnlyList<(string Rule, string Verdict, string[] Pieces)>> Doubts(TestStudio studio, string firing) =>
    [
        .. (await studio.Viewer.Get(firing + "/load-plan")).Expect(HttpStatusCode.OK).Body.GetProperty("doubts").EnumerateArray().Select(d => (
            d.GetProperty("rule").GetString()!, d.GetProperty("verdict").GetString()!, d.GetProperty("pieces").EnumerateArray().Select(p => p.GetString()!)
                .ToArray())),
    ];

    /// <summary>How often people were told, once it was so often, or after a while.</summary>
    private async Task<long> Told(TestStudio studio, long wanted)
    {
        var sql = $"select count(*) from outbox where studio_id = '{studio.Id}' and kind = 'firings.ware-in-doubt'";
        for (var tries = 0; tries < 300 && await Asking.Number(service.Links.Admin, sql) < wanted; tries++)
            await Task.Delay(100, TestContext.Current.CancellationToken);
        return await Asking.Number(service.Links.Admin, sql);
    }
}
