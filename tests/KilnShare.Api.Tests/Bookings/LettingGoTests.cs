using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>Nobody waits in a firing that is done without them: their ware is free, and they are told why.</summary>
public sealed class LettingGoTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Who_still_waits_when_the_kiln_is_loaded_is_let_go_and_may_book_elsewhere()
    {
        var (studio, path, confirmed, waiting, piece) = await FullFiring();
        await Move(studio, path, "fixed");
        await Load(studio, path, confirmed.Piece);
        var gone = (await studio.Viewer.Get($"{path}/bookings/{waiting}")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("withdrawn", gone.GetProperty("state").GetString());
        Assert.Equal(JsonValueKind.Null, gone.GetProperty("waitsFor").ValueKind);
        var reason = gone.GetProperty("letGo").GetProperty("reason").GetString();
        Assert.StartsWith("The glaze firing to cone 6 in Round top-loader on ", reason, StringComparison.Ordinal);
        Assert.EndsWith("was loaded, and no place had come free for it. Book it in another firing.", reason, StringComparison.Ordinal);
        Assert.Equal(1, await EventsOf(waiting, "bookings.let-go"));
        Assert.False((await studio.Viewer.Get($"{path}/bookings/{confirmed.Booking}")).Body.TryGetProperty("letGo", out _));
        var next = await studio.MakeFiring(await studio.MakeKiln());
        (await studio.OtherPotter.Post($"{studio.Path}/firings/{next}/bookings", Wants(piece))).Expect(HttpStatusCode.Created);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task A_firing_that_is_called_off_lets_all_go_and_tells_them(bool byDelete)
    {
        var (studio, path, confirmed, waiting, _) = await FullFiring();
        if (byDelete) (await studio.Technician.Delete(path, "*")).Expect(HttpStatusCode.NoContent);
        else await Move(studio, path, "cancelled");
        foreach (var booking in new[] { confirmed.Booking, waiting })
        {
            var gone = (await studio.Viewer.Get($"{path}/bookings/{booking}")).Expect(HttpStatusCode.OK).Body;
            Assert.Equal("withdrawn", gone.GetProperty("state").GetString());
            Assert.Contains("was called off", gone.GetProperty("letGo").GetProperty("reason").GetString(), StringComparison.Ordinal);
            Assert.Equal(1, await EventsOf(booking, "bookings.let-go"));
        }
    }

    [Fact]
    public async Task Who_waits_in_a_fixed_firing_may_withdraw()
    {
        var (studio, path, _, waiting, _) = await FullFiring();
        await Move(studio, path, "fixed");
        Assert.Equal("withdrawn", (await studio.OtherPotter.Post($"{path}/bookings/{waiting}/withdrawal")).Expect(HttpStatusCode.OK).Body.GetProperty("state")
            .GetString());
    }

    [Fact]
    public async Task A_place_that_comes_free_in_a_fixed_firing_is_offered_and_a_technicians_yes_gives_it()
    {
        var (studio, path, confirmed, first, _) = await FullFiring();
        var second = TestStudio.IdOf(await studio.Potter.Post($"{path}/bookings", Wants(await Wide(studio, studio.Potter), mayWait: true)));
        await Move(studio, path, "fixed");
        Assert.Equal("bookings.nothing-offered", (await Approve(studio, path, first)).Expect(HttpStatusCode.Conflict).Code);
        (await studio.Potter.Post($"{path}/bookings/{confirmed.Booking}/withdrawal")).Expect(HttpStatusCode.OK);
        var offered = await Until(studio, $"{path}/bookings/{first}", b => b.TryGetProperty("offeredAt", out _));
        Assert.Equal("waiting", offered.GetProperty("state").GetString());
        Assert.Equal(1, await EventsOf(first, "bookings.offer"));
        Assert.Equal("bookings.nothing-offered", (await Approve(studio, path, second)).Expect(HttpStatusCode.Conflict).Code);
        var given = (await Approve(studio, path, first)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("confirmed", given.GetProperty("state").GetString());
        Assert.False(given.TryGetProperty("offeredAt", out _));
        Assert.Equal("Tilo", given.GetProperty("approval").GetProperty("name").GetString());
        Assert.NotEqual(JsonValueKind.Null, given.GetProperty("copies")[0].GetProperty("shelf").ValueKind);
    }

    [Fact]
    public async Task An_offer_passes_to_the_next_when_it_is_not_wanted()
    {
        var (studio, path, confirmed, first, _) = await FullFiring();
        var second = TestStudio.IdOf(await studio.Potter.Post($"{path}/bookings", Wants(await Wide(studio, studio.Potter), mayWait: true)));
        await Move(studio, path, "fixed");
        (await studio.Potter.Post($"{path}/bookings/{confirmed.Booking}/withdrawal")).Expect(HttpStatusCode.OK);
        await Until(studio, $"{path}/bookings/{first}", b => b.TryGetProperty("offeredAt", out _));
        (await studio.OtherPotter.Post($"{path}/bookings/{first}/withdrawal")).Expect(HttpStatusCode.OK);
        await Until(studio, $"{path}/bookings/{second}", b => b.TryGetProperty("offeredAt", out _));
        (await Approve(studio, path, second)).Expect(HttpStatusCode.OK);
    }

    [Fact]
    public async Task What_was_offered_is_given_without_a_yes_once_the_firing_is_open_again()
    {
        var (studio, path, confirmed, first, _) = await FullFiring();
        await Move(studio, path, "fixed");
        (await studio.Potter.Post($"{path}/bookings/{confirmed.Booking}/withdrawal")).Expect(HttpStatusCode.OK);
        await Until(studio, $"{path}/bookings/{first}", b => b.TryGetProperty("offeredAt", out _));
        await Move(studio, path, "accepting");
        var given = await Until(studio, $"{path}/bookings/{first}", b => b.GetProperty("state").GetString() == "confirmed");
        Assert.False(given.TryGetProperty("offeredAt", out _));
        Assert.False(given.TryGetProperty("approval", out _));
    }

    [Fact]
    public async Task An_offer_holds_for_the_load_it_was_made_for()
    {
        var (studio, path, confirmed, first, piece) = await FullFiring();
        await Move(studio, path, "fixed");
        (await studio.Potter.Post($"{path}/bookings/{confirmed.Booking}/withdrawal")).Expect(HttpStatusCode.OK);
        await Until(studio, $"{path}/bookings/{first}", b => b.TryGetProperty("offeredAt", out _));
        (await studio.Technician.Put($"{path}/load", new { placed = Array.Empty<object>() })).Expect(HttpStatusCode.OK);
        Assert.Equal("bookings.not-waiting", (await Approve(studio, path, first)).Expect(HttpStatusCode.Conflict).Code);
        Assert.True((await studio.Viewer.Get($"{path}/bookings/{first}")).Body.TryGetProperty("letGo", out _));
        Assert.NotEqual(Guid.Empty, piece);
    }

    private static object Wants(Guid piece, bool mayWait = false) => new { pieces = new[] { new { pieceId = piece } }, mayWait };

    private static async Task<Guid> Wide(TestStudio studio, Caller potter) =>
        await studio.MakePiece(potter, await studio.MakeClay(), await studio.MakeGlaze(), diameterMm: 400, heightMm: 560);

    private static async Task Move(TestStudio studio, string path, string state) =>
        (await studio.Technician.Put(path + "/state", new { state })).Expect(HttpStatusCode.OK);

    private static async Task Load(TestStudio studio, string path, Guid piece) =>
        (await studio.Technician.Put($"{path}/load", new { placed = new[] { new { pieceId = piece } } })).Expect(HttpStatusCode.OK);

    private static Task<Reply> Approve(TestStudio studio, string path, Guid booking) =>
        studio.Technician.Post($"{path}/bookings/{booking}/approval", new { reason = "The place is free." });

    private static async Task<JsonElement> Until(TestStudio studio, string path, Func<JsonElement, bool> holds)
    {
        for (var tries = 0; tries < 300; tries++)
        {
            var read = (await studio.Viewer.Get(path)).Expect(HttpStatusCode.OK).Body;
            if (holds(read)) return read;
            await Task.Delay(100, TestContext.Current.CancellationToken);
        }

        throw new TimeoutException((await studio.Viewer.Get(path)).Text);
    }

    /// <summary>A firing with one piece in it that leaves no room for another, which waits.</summary>
    private async Task<(TestStudio Studio, string Path, (Guid Booking, Guid Piece) Confirmed, Guid Waiting, Guid WaitingPiece)> FullFiring()
    {
        var studio = await service.MakeStudio();
        var path = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln())}";
        var (mine, yours) = (await Wide(studio, studio.Potter), await Wide(studio, studio.OtherPotter));
        var confirmed = TestStudio.IdOf(await studio.Potter.Post(path + "/bookings", Wants(mine)));
        var waits = (await studio.OtherPotter.Post(path + "/bookings", Wants(yours, mayWait: true))).Expect(HttpStatusCode.Created).Body;
        Assert.Equal("waiting", waits.GetProperty("state").GetString());
        return (studio, path, (confirmed, mine), waits.GetProperty("id").GetGuid(), yours);
    }

    private async Task<long> EventsOf(Guid booking, string kind)
    {
        await using var connection = new NpgsqlConnection(service.Links.Admin + ";Pooling=false");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        await using var count = new NpgsqlCommand("select count(*) from outbox where kind = $1 and payload ->> 'id' = $2", connection)
        {
            Parameters = { new() { Value = kind }, new() { Value = booking.ToString() } },
        };
        return (long)(await count.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
    }
}
