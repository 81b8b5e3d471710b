using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;
using KilnShare.Api.Tests.Firings;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>A piece that asks for a hotter or a cooler place stands where the kiln's witness cones say that is, or the loader is told.</summary>
public sealed class WishTests(Service service) : IClassFixture<Service>
{
    // Cones stood at the bottom and at the top: each speaks for half of the chamber's 685 mm.
    private const double MiddleMm = 342.5;

    [Theory]
    [InlineData("hot")]
    [InlineData("cool")]
    public async Task A_wish_is_met_where_levels_differ_and_told_in_the_plan(string wish)
    {
        var (studio, firing) = await Learnt(3);
        // Three wide dishes, a level each: 44, 213 and 382 mm over the floor or thereabouts, all with room beside them.
        foreach (var _ in Enumerable.Range(0, 3)) await Book(studio, firing, await Piece(studio, 300, 120), null);
        var booked = await Book(studio, firing, await Piece(studio, 90, 100), wish);
        Assert.Equal(wish, booked.GetProperty("copies")[0].GetProperty("wish").GetString());
        var plan = await Plan(studio, firing);
        var top = plan.GetProperty("plan").GetProperty("shelves")[booked.GetProperty("copies")[0].GetProperty("shelf").GetInt32()].GetProperty("topMm")
            .GetDouble();
        Assert.Equal(wish == "hot", top >= MiddleMm);
        Assert.Equal([wish], plan.GetProperty("pieces").EnumerateArray().Where(p => p.TryGetProperty("wish", out _))
            .Select(p => p.GetProperty("wish").GetString()));
        Assert.DoesNotContain("loading.heat-not-as-wished", plan.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_wish_that_cannot_be_met_is_told_and_refuses_nothing()
    {
        var (studio, firing) = await Learnt(3);
        var booked = await Book(studio, firing, await Piece(studio, 90, 100), "hot");
        Assert.Equal(0, booked.GetProperty("copies")[0].GetProperty("shelf").GetInt32());
        Assert.Contains("loading.heat-not-as-wished", (await Plan(studio, firing)).ToString(), StringComparison.Ordinal);
        // A change that names no pieces keeps the wish; one that names them without it drops it.
        var path = $"{firing}/bookings/{booked.GetProperty("id").GetGuid()}/change";
        Assert.Equal("hot", (await studio.Potter.Post(path, new { })).Expect(HttpStatusCode.OK).Body.GetProperty("copies")[0].GetProperty("wish").GetString());
        var pieces = new[] { new { pieceId = booked.GetProperty("copies")[0].GetProperty("pieceId").GetGuid() } };
        Assert.False((await studio.Potter.Post(path, new { pieces })).Expect(HttpStatusCode.OK).Body.GetProperty("copies")[0].TryGetProperty("wish", out _));
        Assert.DoesNotContain("loading.heat-not-as-wished", (await Plan(studio, firing)).ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_kiln_of_which_nothing_is_learnt_has_no_hot_place_to_miss()
    {
        var (studio, firing) = await Learnt(0);
        await Book(studio, firing, await Piece(studio, 90, 100), "hot");
        Assert.DoesNotContain("loading.heat-not-as-wished", (await Plan(studio, firing)).ToString(), StringComparison.Ordinal);
    }

    private static async Task<JsonElement> Book(TestStudio studio, string firing, Guid piece, string? wish) =>
        (await studio.Potter.Post(firing + "/bookings", new { pieces = new[] { new { pieceId = piece, wish } } })).Expect(HttpStatusCode.Created).Body;

    private static async Task<JsonElement> Plan(TestStudio studio, string firing) =>
        (await studio.Viewer.Get(firing + "/load-plan")).Expect(HttpStatusCode.OK).Body;

    private static async Task<Guid> Piece(TestStudio studio, int diameterMm, int heightMm) =>
        await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze(), diameterMm: diameterMm, heightMm: heightMm);

    /// <summary>A firing that takes bookings, in a kiln whose top was 26 °C hotter than its bottom so many times.</summary>
    private async Task<(TestStudio Studio, string Firing)> Learnt(int firings)
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        for (var i = 0; i < firings; i++)
        {
            var cones = await WitnessTests.Cooling(studio, kiln, 30 - (5 * i));
            (await studio.Technician.Post(cones, WitnessTests.Cones(
                ("top", "6", "down"), ("top", "7", "standing"), ("bottom", "5", "down"), ("bottom", "6", "standing")))).Expect(HttpStatusCode.Created);
        }

        return (studio, $"{studio.Path}/firings/{await studio.MakeFiring(kiln, 6_000)}");
    }
}
