using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;
using NodaTime;
using static KilnShare.Api.Tests.Bookings.OpenFiring;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>Room reserved without pieces: kept like ware, taken over in place, given back in time.</summary>
public sealed class ReserveTests(Service service, TestDatabase database) : IClassFixture<Service>
{
    // Two of these never stand in the test kiln: side by side they are wider than it, and the clear height is 673 mm.
    private const int WideMm = 300;
    private const int TallMm = 560;

    private static readonly Duration TwoHours = Duration.FromHours(2);

    // Room is kept in firings to come only.
    private const int FarOff = 6_000;

    [Fact]
    public async Task Reserved_room_stands_in_the_plan_and_nobody_else_gets_it()
    {
        var s = await Open();
        var reserve = await s.Reserve(s.Studio.Potter, WideMm, TallMm);
        var copy = Assert.Single(reserve.GetProperty("copies").EnumerateArray());
        Assert.Equal(JsonValueKind.Null, copy.GetProperty("pieceId").ValueKind);
        Assert.Equal(TallMm, copy.GetProperty("heightMm").GetDecimal());
        Assert.Equal(0, copy.GetProperty("shelf").GetInt32());
        Assert.Contains("loading.", (await s.Book(s.Studio.OtherPotter, await s.Piece(s.Studio.OtherPotter, WideMm, TallMm)))
            .Expect(HttpStatusCode.UnprocessableEntity).Code, StringComparison.Ordinal);
        var planned = (await s.Studio.Viewer.Get(s.Firing + "/load-plan")).Expect(HttpStatusCode.OK).Body.GetProperty("pieces")[0];
        Assert.Equal("reserved room", planned.GetProperty("name").GetString());
        Assert.Equal(JsonValueKind.Null, planned.GetProperty("studioPieceId").ValueKind);
    }

    [Theory]
    [InlineData(WideMm, TallMm)]
    [InlineData(120, 90)]
    public async Task A_piece_no_larger_than_the_room_takes_its_very_place(int diameterMm, int heightMm)
    {
        var s = await Open();
        var reserve = await s.Reserve(s.Studio.Potter, WideMm, TallMm);
        await s.Book(s.Studio.OtherPotter, await s.Piece(s.Studio.OtherPotter, 80, 60));
        var kept = (await s.Read(reserve)).GetProperty("copies")[0];
        var booked = (await s.Book(s.Studio.Potter, await s.Piece(s.Studio.Potter, diameterMm, heightMm), reserve)).Expect(HttpStatusCode.Created).Body;
        Assert.Equal(IdOf(reserve), booked.GetProperty("reserveId").GetGuid());
        foreach (var part in (string[])["shelf", "xMm", "yMm"])
            Assert.Equal(kept.GetProperty(part).GetDecimal(), booked.GetProperty("copies")[0].GetProperty(part).GetDecimal());
        Assert.Equal("withdrawn", (await s.Read(reserve)).GetProperty("state").GetString());
    }

    [Fact]
    public async Task What_is_not_filled_stays_kept()
    {
        var s = await Open();
        var reserve = await s.Reserve(s.Studio.Potter, 90, 110, quantity: 3);
        (await s.Book(s.Studio.Potter, await s.Piece(s.Studio.Potter, 90, 100, 2), reserve)).Expect(HttpStatusCode.Created);
        var left = await s.Read(reserve);
        Assert.Equal("confirmed", left.GetProperty("state").GetString());
        Assert.Equal(1, left.GetProperty("copies").GetArrayLength());
        (await s.Book(s.Studio.Potter, await s.Piece(s.Studio.Potter, 90, 100, 2), reserve)).Expect(HttpStatusCode.Created);
        Assert.Equal("bookings.reserve-gone", (await s.Book(s.Studio.Potter, await s.Piece(s.Studio.Potter, 90, 100), reserve))
            .Expect(HttpStatusCode.Conflict).Code);
    }

    [Fact]
    public async Task A_larger_piece_is_decided_like_any_other_and_its_refusal_leaves_the_room_kept()
    {
        var s = await Open();
        var reserve = await s.Reserve(s.Studio.Potter, 90, 100);
        (await s.Book(s.Studio.OtherPotter, await s.Piece(s.Studio.OtherPotter, WideMm, TallMm))).Expect(HttpStatusCode.Created);
        var before = await s.Read(reserve);
        Assert.Contains("loading.", (await s.Book(s.Studio.Potter, await s.Piece(s.Studio.Potter, WideMm, TallMm), reserve))
            .Expect(HttpStatusCode.UnprocessableEntity).Code, StringComparison.Ordinal);
        Assert.Equal(before.ToString(), (await s.Read(reserve)).ToString());
        (await s.Book(s.Studio.Potter, await s.Piece(s.Studio.Potter, 110, 140), reserve)).Expect(HttpStatusCode.Created);
        Assert.Equal("withdrawn", (await s.Read(reserve)).GetProperty("state").GetString());
    }

    [Fact]
    public async Task What_the_rules_refuse_leaves_the_room_kept()
    {
        var s = await Open();
        var reserve = await s.Reserve(s.Studio.Potter, 90, 110);
        var before = await s.Read(reserve);
        var melts = await s.Studio.MakePiece(s.Studio.Potter, await s.Studio.MakeClay("06", "02"), s.Glaze);
        Assert.Equal("cofiring.incompatible", (await s.Book(s.Studio.Potter, melts, reserve)).Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal(before.ToString(), (await s.Read(reserve)).ToString());
    }

    [Fact]
    public async Task Room_kept_past_its_time_is_given_to_those_who_wait()
    {
        var clock = new ClockAhead();
        await using var timed = await By(clock);
        var s = await Open(timed);
        var reserve = await s.Reserve(s.Studio.Potter, WideMm, TallMm, until: DateTimeOffset.UtcNow.AddHours(1));
        var waits = (await s.Book(s.Studio.OtherPotter, await s.Piece(s.Studio.OtherPotter, WideMm, TallMm), mayWait: true))
            .Expect(HttpStatusCode.Created).Body;
        Assert.Equal("waiting", waits.GetProperty("state").GetString());
        clock.GoOn(TwoHours);
        Assert.Equal("confirmed", await s.StateWithin(waits, "confirmed"));
        Assert.Equal("withdrawn", (await s.Read(reserve)).GetProperty("state").GetString());
        Assert.Equal("bookings.reserve-gone", (await s.Book(s.Studio.Potter, await s.Piece(s.Studio.Potter, 90, 100), reserve))
            .Expect(HttpStatusCode.Conflict).Code);
    }

    [Fact]
    public async Task A_fixed_firing_keeps_no_room_and_its_load_knows_of_none()
    {
        var s = await Open();
        var piece = await s.Piece(s.Studio.Potter, 90, 100);
        (await s.Book(s.Studio.Potter, piece)).Expect(HttpStatusCode.Created);
        var (first, second) = (await s.Reserve(s.Studio.Potter, 90, 110), await s.Reserve(s.Studio.OtherPotter, 90, 110, quantity: 2));
        (await s.Studio.Technician.Put(s.Firing + "/state", new { state = "fixed" })).Expect(HttpStatusCode.OK);
        var load = (await s.Load(piece)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(1, load.GetProperty("items").GetArrayLength());
        Assert.Equal("withdrawn", await s.StateWithin(first, "withdrawn"));
        Assert.Equal("withdrawn", await s.StateWithin(second, "withdrawn"));
        var shares = (await s.Studio.Technician.Get(s.Firing + "/bookings")).Body.GetProperty("items").EnumerateArray()
            .Count(b => b.GetProperty("state").GetString() == "confirmed");
        Assert.Equal(1, shares);
    }

    [Fact]
    public async Task A_firing_lit_earlier_than_planned_keeps_no_room_past_that()
    {
        var clock = new ClockAhead();
        await using var timed = await By(clock);
        var s = await Open(timed);
        var reserve = await s.Reserve(s.Studio.Potter, 90, 110);
        await s.LightAt(DateTimeOffset.UtcNow.AddHours(1));
        Assert.Equal("confirmed", (await s.Read(reserve)).GetProperty("state").GetString());
        clock.GoOn(TwoHours);
        Assert.Equal("withdrawn", await s.StateWithin(reserve, "withdrawn"));
        Assert.Equal("bookings.reserve-too-late", (await s.Studio.Potter.Post(s.Firing + "/reserves", Room(90, 110, 1))).Expect(HttpStatusCode.Conflict).Code);
    }

    [Fact]
    public async Task Reserved_room_is_given_back_at_any_time_and_costs_nothing()
    {
        var s = await Open();
        (await s.Studio.Owner.Put(s.Studio.Path + "/cost-rules", new { withdrawal = new[] { new { hoursBefore = 2_160, flatMinor = 500 } } },
            await s.Studio.Owner.Tag(s.Studio.Path + "/cost-rules"))).Expect(HttpStatusCode.OK);
        await s.LightAt(DateTimeOffset.UtcNow.AddDays(20));
        var reserve = await s.Reserve(s.Studio.Potter, 90, 110);
        var back = (await s.Studio.Potter.Post($"{s.Firing}/bookings/{IdOf(reserve)}/withdrawal")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("withdrawn", back.GetProperty("state").GetString());
        Assert.False(back.TryGetProperty("feeMinor", out _));
    }

    [Fact]
    public async Task Nobody_keeps_more_than_a_member_may()
    {
        var s = await Open();
        await s.Reserve(s.Studio.Potter, 40, 40, quantity: 30);
        foreach (var (body, code, says) in new (object Body, string Code, string Says)[]
        {
            (Room(40, 40, 11), "bookings.reserve-limit", "40 copies"),
            (Room(310, 600, 1), "bookings.reserve-limit", "46.0 litres"),
            (Room(40, 40, 1, DateTimeOffset.UtcNow.AddDays(15)), "bookings.reserve-time", "until [A-Z][a-z]{2} [0-9]{1,2} [A-Z][a-z]{2} 20[0-9]{2}, "),
            (Room(40, 40, 1, DateTimeOffset.UtcNow.AddMinutes(-1)), "bookings.reserve-time", "72 hours"),
        })
        {
            var refused = (await s.Studio.Potter.Post(s.Firing + "/reserves", body)).Expect(HttpStatusCode.UnprocessableEntity);
            Assert.Equal(code, refused.Code);
            Assert.Matches(says, refused.Body.GetProperty("detail").GetString());
        }

        (await s.Studio.OtherPotter.Post(s.Firing + "/reserves", Room(40, 40, 11))).Expect(HttpStatusCode.Created);
    }

    [Fact]
    public async Task A_retry_under_the_same_key_reserves_once()
    {
        var s = await Open();
        var body = Room(90, 110, 2);
        var replies = await Task.WhenAll(Enumerable.Range(0, 6).Select(_ => s.Studio.Potter.Post(s.Firing + "/reserves", body, "room-1")));
        Assert.Single(replies.Select(r => r.Expect(HttpStatusCode.Created).Text).Distinct(StringComparer.Ordinal));
        Assert.Equal(1, (await s.Studio.Viewer.Get(s.Firing + "/bookings")).Body.GetProperty("items").GetArrayLength());
        Assert.Equal("request.idempotency-key-reused", (await s.Studio.Potter.Post(s.Firing + "/reserves", Room(90, 110, 3), "room-1"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    [Fact]
    public async Task Room_is_taken_over_by_its_own_member_only_and_a_strangers_is_not_there()
    {
        var (s, stranger) = (await Open(), await Open());
        var (mine, theirs) = (await s.Reserve(s.Studio.Potter, 90, 110), await stranger.Reserve(stranger.Studio.Potter, 90, 110));
        var piece = await s.Piece(s.Studio.OtherPotter, 90, 100);
        Assert.Equal("bookings.reserve-of-another", (await s.Book(s.Studio.OtherPotter, piece, mine)).Expect(HttpStatusCode.UnprocessableEntity).Code);
        var foreign = (await s.Book(s.Studio.OtherPotter, piece, theirs)).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("bookings.no-such-reserve", foreign.Code);
        Assert.Equal("/reserveId", foreign.Pointer);
        Assert.Equal("bookings.is-reserve", (await s.Studio.Potter.Post($"{s.Firing}/bookings/{IdOf(mine)}/change", new { }))
            .Expect(HttpStatusCode.Conflict).Code);
        (await s.Book(s.Studio.Technician, await s.Piece(s.Studio.Potter, 90, 100), mine)).Expect(HttpStatusCode.Created);
    }

    [Fact]
    public async Task Pieces_that_a_technician_must_agree_to_take_the_room_over_when_agreed()
    {
        var s = await Open();
        var reserve = await s.Reserve(s.Studio.Potter, WideMm, TallMm);
        var unknown = TestStudio.IdOf(await s.Studio.Technician.Post(
            s.Studio.Path + "/clays", new { name = "found clay", cones = new { from = "5", to = "7", series = "small" }, contains = Array.Empty<object>() }));
        var waits = (await s.Book(s.Studio.Potter, await s.Studio.MakePiece(s.Studio.Potter, unknown, s.Glaze, diameterMm: WideMm, heightMm: TallMm), reserve))
            .Expect(HttpStatusCode.Created).Body;
        Assert.Equal("technician", waits.GetProperty("waitsFor").GetString());
        Assert.Equal("confirmed", (await s.Read(reserve)).GetProperty("state").GetString());
        var agreed = (await s.Studio.Technician.Post($"{s.Firing}/bookings/{IdOf(waits)}/approval", new { reason = "fired here last month" }))
            .Expect(HttpStatusCode.OK).Body;
        Assert.Equal(reserve.GetProperty("copies")[0].GetProperty("xMm").GetDecimal(), agreed.GetProperty("copies")[0].GetProperty("xMm").GetDecimal());
        Assert.Equal("withdrawn", (await s.Read(reserve)).GetProperty("state").GetString());
    }

    /// <summary>The clock passes the moment of expiry before, beside or after the bookings: whoever comes first has the room, never both.</summary>
    [Fact]
    public async Task At_the_moment_of_expiry_the_room_goes_to_the_piece_or_back_and_never_both()
    {
        var ends = new HashSet<string>(StringComparer.Ordinal);
        for (var round = 0; round < 6; round++)
        {
            var clock = new ClockAhead();
            await using var timed = await By(clock);
            var s = await Open(timed);
            var piece = await s.Piece(s.Studio.Potter, WideMm, TallMm);
            var other = await s.Piece(s.Studio.OtherPotter, WideMm, TallMm);
            var reserve = await s.Reserve(s.Studio.Potter, WideMm, TallMm, until: DateTimeOffset.UtcNow.AddHours(1));
            if (round == 0) clock.GoOn(TwoHours);
            var passing = Task.Run(() => clock.GoOn(round is 0 or 1 ? Duration.Zero : TwoHours), TestContext.Current.CancellationToken);
            var replies = await Task.WhenAll(s.Book(s.Studio.Potter, piece, reserve), s.Book(s.Studio.OtherPotter, other, mayWait: true));
            await passing;
            var (filled, waited) = (replies[0], replies[1]);
            Assert.True(filled.Status == HttpStatusCode.Created || filled.Code == "bookings.reserve-gone", filled.Text);
            waited.Expect(HttpStatusCode.Created);
            if (filled.Status != HttpStatusCode.Created) Assert.Equal("confirmed", await s.StateWithin(waited.Body, "confirmed"));
            Assert.Equal("withdrawn", await s.StateWithin(reserve, "withdrawn"));
            var bookings = (await s.Studio.Viewer.Get(s.Firing + "/bookings")).Body.GetProperty("items").EnumerateArray();
            Assert.Equal(1, bookings.Count(b => b.GetProperty("state").GetString() == "confirmed"));
            ends.Add(filled.Status == HttpStatusCode.Created ? "filled" : "expired");
        }

        Assert.Equal(2, ends.Count);
    }

    private async Task<Service> By(ClockAhead clock)
    {
        var timed = new Service(database) { Also = clock.Set };
        await timed.InitializeAsync();
        return timed;
    }

    private async Task<OpenFiring> Open(Service? timed = null)
    {
        var studio = await (timed ?? service).MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln(), FarOff);
        return new OpenFiring(studio, $"{studio.Path}/firings/{firing}", await studio.MakeClay(), await studio.MakeGlaze());
    }
}
