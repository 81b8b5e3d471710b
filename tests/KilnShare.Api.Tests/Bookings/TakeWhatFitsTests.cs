using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>More mugs than a kiln holds.</summary>
public sealed class TakeWhatFitsTests(Service service) : IClassFixture<Service>
{
    private const int Mugs = 120;

    [Fact]
    public async Task A_refusal_of_many_says_how_many_fit_and_so_many_are_taken_where_that_is_asked()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var path = $"{studio.Path}/firings/{await studio.MakeFiring(kiln)}/bookings";
        var piece = await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze(), quantity: Mugs, diameterMm: 100, heightMm: 120);

        var refused = (await studio.Potter.Post(path, new { pieces = new[] { new { pieceId = piece } } })).Expect(HttpStatusCode.UnprocessableEntity);
        var fits = refused.Body.GetProperty("values").GetProperty("fits").GetInt32();
        Assert.InRange(fits, 1, Mugs - 1);
        Assert.Contains($"Of these {Mugs} copies {fits} do fit", refused.Body.GetProperty("detail").GetString(), StringComparison.Ordinal);
        Assert.Contains("cylinder (C)", refused.Body.GetProperty("detail").GetString(), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.UnprocessableEntity,
            (await studio.Potter.Post(path, new { pieces = new[] { new { pieceId = piece, copies = Enumerable.Range(0, fits + 1) } } })).Status);

        var wanted = new { pieces = new[] { new { pieceId = piece } }, takeWhatFits = true };
        var taken = (await studio.Potter.Post(path, wanted, "mugs")).Expect(HttpStatusCode.Created);
        Assert.Equal("confirmed", taken.Body.GetProperty("state").GetString());
        Assert.Equal(fits, taken.Body.GetProperty("copies").GetArrayLength());
        var rest = (await studio.Viewer.Get($"{path}/{taken.Body.GetProperty("restBookingId").GetGuid()}")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("waiting", rest.GetProperty("state").GetString());
        Assert.Equal("room", rest.GetProperty("waitsFor").GetString());
        Assert.Equal(Enumerable.Range(0, Mugs), Copies(taken.Body).Concat(Copies(rest)).Order());
        Assert.Equal(taken.Text, (await studio.Potter.Post(path, wanted, "mugs")).Expect(HttpStatusCode.Created).Text);
        Assert.Equal(2, (await studio.Viewer.Get(path)).Body.GetProperty("items").GetArrayLength());
    }

    [Fact]
    public async Task Where_all_fit_there_is_no_rest_and_where_none_does_all_of_it_waits()
    {
        var studio = await service.MakeStudio();
        var path = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln())}/bookings";
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        object Take(Guid piece) => new { pieces = new[] { new { pieceId = piece } }, takeWhatFits = true };
        var all = (await studio.Potter.Post(path, Take(await studio.MakePiece(studio.Potter, clay, glaze, diameterMm: 400, heightMm: 560))))
            .Expect(HttpStatusCode.Created).Body;
        Assert.Equal("confirmed", all.GetProperty("state").GetString());
        Assert.False(all.TryGetProperty("restBookingId", out _));
        var none = (await studio.OtherPotter.Post(path, Take(
            await studio.MakePiece(studio.OtherPotter, clay, glaze, quantity: 2, diameterMm: 400, heightMm: 560)))).Expect(HttpStatusCode.Created).Body;
        Assert.Equal("waiting", none.GetProperty("state").GetString());
        Assert.Equal(2, none.GetProperty("copies").GetArrayLength());
    }

    // A rest that this kiln never holds would wait for nothing.
    [Fact]
    public async Task What_never_fits_is_refused_by_its_name_though_the_other_pieces_would_fit()
    {
        var studio = await service.MakeStudio();
        var path = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln())}/bookings";
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var pieces = new[] { await studio.MakePiece(studio.Potter, clay, glaze), await studio.MakePiece(studio.Potter, clay, glaze, heightMm: 690) };
        var refused = (await studio.Potter.Post(path, new { pieces = pieces.Select(p => new { pieceId = p }), takeWhatFits = true }))
            .Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("loading.cannot-fit", refused.Code);
        Assert.StartsWith("cylinder (C) is too tall for Round top-loader.", refused.Body.GetProperty("detail").GetString(), StringComparison.Ordinal);
        Assert.Equal(1, refused.Body.GetProperty("values").GetProperty("fits").GetInt32());
    }

    [Fact]
    public async Task The_rest_gets_its_place_when_room_comes_free()
    {
        var studio = await service.MakeStudio();
        var path = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln())}/bookings";
        var piece = await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze(), quantity: 2, diameterMm: 400, heightMm: 560);
        var taken = (await studio.Potter.Post(path, new { pieces = new[] { new { pieceId = piece } }, takeWhatFits = true }))
            .Expect(HttpStatusCode.Created).Body;
        Assert.Equal(1, taken.GetProperty("copies").GetArrayLength());
        var rest = $"{path}/{taken.GetProperty("restBookingId").GetGuid()}";
        (await studio.Potter.Post($"{path}/{taken.GetProperty("id").GetGuid()}/withdrawal")).Expect(HttpStatusCode.OK);
        for (var tries = 0; tries < 300 && (await studio.Viewer.Get(rest)).Body.GetProperty("state").GetString() != "confirmed"; tries++)
            await Task.Delay(100, TestContext.Current.CancellationToken);
        Assert.Equal("confirmed", (await studio.Viewer.Get(rest)).Body.GetProperty("state").GetString());
    }

    private static IEnumerable<int> Copies(System.Text.Json.JsonElement booking) =>
        booking.GetProperty("copies").EnumerateArray().Select(c => c.GetProperty("copy").GetInt32());
}
