using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>Two at a time at one firing, many times: whoever comes second sees what the first did. The invariants are looked at after the class.</summary>
public sealed class BookingRaceTests(Service service) : IClassFixture<Service>
{
    /// <summary>How often each race is run: 20 times, 200 where KILNSHARE_SOAK=1.</summary>
    private static int Rounds => Races.Tries;

    // A booking that waits is decided for some tenths of a second, in any of which the firing may be called off.
    [Fact]
    public async Task Nobody_begins_to_wait_beside_a_calling_off() => await Race(async (studio, path, book) =>
    {
        var off = studio.Technician.Delete(path, "*");
        await Task.WhenAll(book, off);
        (await off).Expect(HttpStatusCode.NoContent);
        await NothingLive(studio, path);
    });

    [Fact]
    public async Task Nobody_begins_to_wait_beside_a_loading() => await Race(async (studio, path, book) =>
    {
        (await studio.Technician.Put(path + "/state", new { state = "fixed" })).Expect(HttpStatusCode.OK);
        var load = studio.Technician.Put(path + "/load", await EverythingStays(studio, path));
        await Task.WhenAll(book, load);
        (await load).Expect(HttpStatusCode.OK);
        await NothingLive(studio, path);
    });

    // Who waits before the firing is fixed may go on waiting; who comes after is refused. Loading lets go whoever is left.
    [Fact]
    public async Task Beside_a_fixing_one_is_refused_or_waits_and_is_let_go_later() => await Race(async (studio, path, book) =>
    {
        var fix = studio.Technician.Put(path + "/state", new { state = "fixed" });
        await Task.WhenAll(book, fix);
        (await fix).Expect(HttpStatusCode.OK);
        if ((await book).Status == HttpStatusCode.Created)
            Assert.Equal("waiting", (await studio.Viewer.Get($"{path}/bookings/{TestStudio.IdOf(await book)}")).Body.GetProperty("state").GetString());
        (await studio.Technician.Put(path + "/load", await EverythingStays(studio, path))).Expect(HttpStatusCode.OK);
        await NothingLive(studio, path);
    });

    [Fact]
    public async Task Who_withdraws_while_room_is_found_for_him_is_out_for_good()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var (mine, yours) = await TwoWidePieces(studio);
        for (var round = 0; round < Rounds; round++)
        {
            var path = $"{studio.Path}/firings/{await studio.MakeFiring(kiln, round)}/bookings";
            var first = TestStudio.IdOf(await studio.Potter.Post(path, Wants(mine)));
            var second = TestStudio.IdOf(await studio.OtherPotter.Post(path, Wants(yours)));
            var freed = studio.Potter.Post($"{path}/{first}/withdrawal");
            await Task.Delay(round % 10 * 20, TestContext.Current.CancellationToken);
            var gone = await studio.OtherPotter.Post($"{path}/{second}/withdrawal");
            (await freed).Expect(HttpStatusCode.OK);
            Assert.Equal("withdrawn", gone.Expect(HttpStatusCode.OK).Body.GetProperty("state").GetString());
            Assert.Equal("withdrawn", (await studio.Viewer.Get($"{path}/{second}")).Body.GetProperty("state").GetString());
            (await studio.OtherPotter.Post(path, Wants(yours))).Expect(HttpStatusCode.Created);
            (await studio.Technician.Delete(path[..^"/bookings".Length], "*")).Expect(HttpStatusCode.NoContent);
        }
    }

    /// <summary>One piece leaves no room for another, and the other begins to wait while something becomes of the firing.</summary>
    private async Task Race(Func<TestStudio, string, Task<Reply>, Task> meet)
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var (mine, yours) = await TwoWidePieces(studio);
        for (var round = 0; round < Rounds; round++)
        {
            var path = $"{studio.Path}/firings/{await studio.MakeFiring(kiln, round)}";
            TestStudio.IdOf(await studio.Potter.Post(path + "/bookings", Wants(mine)));
            var book = studio.OtherPotter.Post(path + "/bookings", Wants(yours));
            await Task.Delay(round % 10 * 20, TestContext.Current.CancellationToken);
            await meet(studio, path, book);
            var booked = await book;
            Assert.True(booked.Status == HttpStatusCode.Created || booked.Code == "firings.not-accepting", booked.Text);
        }
    }

    /// <summary>Nothing waits, and nothing that stayed behind or was called off is held.</summary>
    private static async Task NothingLive(TestStudio studio, string path)
    {
        foreach (var booking in (await studio.Viewer.Get(path + "/bookings")).Expect(HttpStatusCode.OK).Body.GetProperty("items").EnumerateArray())
            Assert.True(booking.GetProperty("state").GetString() != "waiting"
                && (booking.GetProperty("state").GetString() == "withdrawn" || booking.GetProperty("copies").GetArrayLength() == 0), booking.ToString());
    }

    /// <summary>A load of nothing: what is confirmed stays behind, and is free for the next round.</summary>
    private static async Task<object> EverythingStays(TestStudio studio, string path)
    {
        var held = (await studio.Viewer.Get(path + "/bookings")).Expect(HttpStatusCode.OK).Body.GetProperty("items").EnumerateArray()
            .Where(b => b.GetProperty("state").GetString() == "confirmed").SelectMany(b => b.GetProperty("copies").EnumerateArray())
                .Select(c => c.GetProperty("pieceId").GetGuid());
        return new { placed = Array.Empty<object>(), leftBehind = held.Select(piece => new { pieceId = piece, reason = "too wide" }) };
    }

    private static async Task<(Guid Mine, Guid Yours)> TwoWidePieces(TestStudio studio)
    {
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        return (await studio.MakePiece(studio.Potter, clay, glaze, diameterMm: 400, heightMm: 560), await studio.MakePiece(
            studio.OtherPotter, clay, glaze, diameterMm: 400, heightMm: 560));
    }

    private static object Wants(Guid piece) => new { pieces = new[] { new { pieceId = piece } }, mayWait = true };
}
