using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Outcomes;

/// <summary>Ware that breaks before a firing counts too: it is lost, and fired no more.</summary>
public sealed class BreakageTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task What_broke_is_lost_and_is_there_again_where_that_was_a_mistake()
    {
        var (studio, piece) = await Make();
        var path = $"{studio.Path}/pieces/{piece}";
        var told = (await studio.Potter.Post(path + "/custody", new { kind = "broke", copies = new[] { 1 }, note = "knocked off the board" })).Expect(HttpStatusCode.Created).Body.GetProperty("items")[0];
        Assert.Equal("bisque", told.GetProperty("stageBefore").GetString());
        Assert.Equal(["bisque", "lost", "bisque"], await Stages(studio, path));
        Assert.Equal("pieces.lost-already", (await studio.Potter.Post(path + "/custody", new { kind = "broke", copies = new[] { 1 } })).Expect(HttpStatusCode.Conflict).Code);

        (await studio.Potter.Post(path + "/custody", new { kind = "foundWhole", copies = new[] { 1 } })).Expect(HttpStatusCode.Created);
        Assert.Equal(["bisque", "bisque", "bisque"], await Stages(studio, path));
        Assert.Equal("pieces.not-broken", (await studio.Potter.Post(path + "/custody", new { kind = "foundWhole", copies = new[] { 1 } })).Expect(HttpStatusCode.Conflict).Code);
        Assert.Equal(HttpStatusCode.Forbidden, (await studio.OtherPotter.Post(path + "/custody", new { kind = "broke", copies = new[] { 0 } })).Status);
    }

    [Fact]
    public async Task What_is_booked_is_withdrawn_first_and_what_broke_is_not_booked()
    {
        var (studio, piece) = await Make();
        var (path, firing) = ($"{studio.Path}/pieces/{piece}", await studio.MakeFiring(await studio.MakeKiln()));
        var bookings = $"{studio.Path}/firings/{firing}/bookings";
        (await studio.Potter.Post(bookings, new { pieces = new[] { new { pieceId = piece, copies = new[] { 0 } } } })).Expect(HttpStatusCode.Created);
        var refused = (await studio.Potter.Post(path + "/custody", new { kind = "broke", copies = new[] { 0 } })).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal(("pieces.booked", "/copies"), (refused.Code, refused.Pointer));
        // Another copy of the piece is free to break, and is then refused by the firing.
        (await studio.Potter.Post(path + "/custody", new { kind = "broke", copies = new[] { 2 } })).Expect(HttpStatusCode.Created);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await studio.Potter.Post(bookings, new { pieces = new[] { new { pieceId = piece, copies = new[] { 2 } } } })).Status);
        Assert.Equal(["bisque", "bisque", "lost"], await Stages(studio, path));
    }

    /// <summary>Two people at once: whoever is first is right, and no copy is both booked and lost.</summary>
    [Fact]
    public async Task No_copy_is_booked_and_broken_at_once()
    {
        var (studio, piece) = await Make(quantity: 20);
        var (path, firing) = ($"{studio.Path}/pieces/{piece}", await studio.MakeFiring(await studio.MakeKiln()));
        for (var copy = 0; copy < 20; copy++)
        {
            var copies = new[] { copy };
            var booking = studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece, copies } } });
            var breaking = studio.Potter.Post(path + "/custody", new { kind = "broke", copies });
            var (booked, broke) = ((await booking).Status, (await breaking).Status);
            Assert.True(booked == HttpStatusCode.Created ^ broke == HttpStatusCode.Created, $"copy {copy}: booking {booked}, breaking {broke}");
        }
    }

    private async Task<(TestStudio Studio, Guid Piece)> Make(int quantity = 3)
    {
        var studio = await service.MakeStudio();
        return (studio, await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze(), quantity, diameterMm: 60));
    }

    private static async Task<IReadOnlyList<string?>> Stages(TestStudio studio, string path) =>
        [.. (await studio.Potter.Get(path)).Expect(HttpStatusCode.OK).Body.GetProperty("copies").EnumerateArray().Select(c => c.GetProperty("stage").GetString())];
}
