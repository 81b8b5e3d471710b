using System.Net;
using KilnShare.Api.Tests.Common;
using KilnShare.Api.Tests.Outcomes;

namespace KilnShare.Api.Tests.Pieces;

/// <summary>Ware that breaks before a firing counts too: it is lost, and fired no more.</summary>
public sealed class BreakageTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task What_broke_is_lost_and_is_there_again_where_that_was_a_mistake()
    {
        var (studio, piece) = await Make();
        var path = $"{studio.Path}/pieces/{piece}";
        var told = (await studio.Potter.Post(path + "/custody", new { kind = "broke", copies = new[] { 1 }, note = "knocked off the board" }))
            .Expect(HttpStatusCode.Created).Body.GetProperty("items")[0];
        Assert.Equal("bisque", told.GetProperty("stageBefore").GetString());
        Assert.Equal(["bisque", "lost", "bisque"], await Stages(studio, path));
        Assert.Equal("pieces.lost-already", (await studio.Potter.Post(path + "/custody", new { kind = "broke", copies = new[] { 1 } }))
            .Expect(HttpStatusCode.Conflict).Code);

        (await studio.Potter.Post(path + "/custody", new { kind = "foundWhole", copies = new[] { 1 } })).Expect(HttpStatusCode.Created);
        Assert.Equal(["bisque", "bisque", "bisque"], await Stages(studio, path));
        Assert.Equal("pieces.not-broken", (await studio.Potter.Post(path + "/custody", new { kind = "foundWhole", copies = new[] { 1 } }))
            .Expect(HttpStatusCode.Conflict).Code);
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
        Assert.Equal(HttpStatusCode.UnprocessableEntity,
            (await studio.Potter.Post(bookings, new { pieces = new[] { new { pieceId = piece, copies = new[] { 2 } } } })).Status);
        Assert.Equal(["bisque", "bisque", "lost"], await Stages(studio, path));
    }

    /// <summary>Two people at once: whoever is first is right, and no copy is both booked and lost.</summary>
    [Fact]
    public async Task No_copy_is_booked_and_broken_at_once()
    {
        var studio = await service.MakeStudio();
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var bookings = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln())}/bookings";
        for (var turn = 0; turn < Races.Tries; turn++)
        {
            var piece = await studio.MakePiece(studio.Potter, clay, glaze, diameterMm: 60);
            var tries = await Races.AtOnce(
                () => studio.Potter.Post(bookings, new { pieces = new[] { new { pieceId = piece } } }),
                () => studio.Potter.Post($"{studio.Path}/pieces/{piece}/custody", new { kind = "broke" }));
            var (booked, broke) = (tries[0].Status == HttpStatusCode.Created, tries[1].Status == HttpStatusCode.Created);
            Assert.True(booked ^ broke, $"turn {turn}: booking {tries[0].Status}, breaking {tries[1].Status}");
            if (booked) (await studio.Potter.Post($"{bookings}/{TestStudio.IdOf(tries[0])}/withdrawal")).Expect(HttpStatusCode.OK);
        }
    }

    [Fact]
    public async Task What_broke_on_the_rack_is_nobodys_to_fetch()
    {
        var load = await MugLoad.Unload(service);
        var before = await Waiting(load);
        (await load.Studio.Potter.Post($"{load.Studio.Path}/pieces/{load.Mine}/custody", new { kind = "broke", copies = new[] { 1 } }))
            .Expect(HttpStatusCode.Created);
        Assert.Equal(before.Except([$"{load.Mine} 1"]), await Waiting(load));
        Assert.Contains($"{load.Mine} 1", before);

        static async Task<IReadOnlyList<string>> Waiting(MugLoad load) =>
        [
            .. (await load.Studio.Technician.Get(load.Studio.Path + "/uncollected?days=0")).Expect(HttpStatusCode.OK).Body.GetProperty("items").EnumerateArray()
                .Select(i => $"{i.GetProperty("pieceId").GetGuid()} {i.GetProperty("copy").GetInt32()}").Order(StringComparer.Ordinal),
        ];
    }

    private async Task<(TestStudio Studio, Guid Piece)> Make(int quantity = 3)
    {
        var studio = await service.MakeStudio();
        return (studio, await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze(), quantity, diameterMm: 60));
    }

    private static async Task<IReadOnlyList<string?>> Stages(TestStudio studio, string path) =>
        [.. (await studio.Potter.Get(path)).Expect(HttpStatusCode.OK).Body.GetProperty("copies").EnumerateArray()
            .Select(c => c.GetProperty("stage").GetString())];
}
