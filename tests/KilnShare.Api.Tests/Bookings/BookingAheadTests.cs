using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

public sealed class BookingAheadTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Greenware_is_booked_for_its_bisque_and_ahead_for_its_glaze_firing()
    {
        var (studio, bisque, glaze, piece) = await Open();
        (await Book(studio, bisque, piece)).Expect(HttpStatusCode.Created);
        Assert.Equal("pieces.already-booked", (await Book(studio, glaze, piece)).Expect(HttpStatusCode.Conflict).Code);
        (await Book(studio, glaze, piece, ahead: true)).Expect(HttpStatusCode.Created);
        var copy = (await studio.Viewer.Get($"{studio.Path}/pieces/{piece}")).Body.GetProperty("copies")[0];
        Assert.Equal(["bisque", "glaze"], copy.GetProperty("route").EnumerateArray().Select(s => s.GetProperty("kind").GetString()!));
        Assert.Equal([bisque, glaze], copy.GetProperty("booked").EnumerateArray().Select(b => b.GetProperty("firingId").GetGuid()));
    }

    [Fact]
    public async Task A_later_step_in_a_firing_lit_before_the_first_is_unloaded_is_refused()
    {
        var (studio, bisque, _, piece) = await Open();
        var soon = await studio.MakeFiring(await studio.MakeKiln(), 1);
        (await Book(studio, bisque, piece)).Expect(HttpStatusCode.Created);
        var refused = (await Book(studio, soon, piece, ahead: true)).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("bookings.before-its-time", refused.Code);
        Assert.Matches(" [A-Z][a-z]{2} [0-9]{1,2} [A-Z][a-z]{2} 20[0-9]{2}, [0-9]{2}:[0-9]{2}", refused.Body.GetProperty("detail").GetString());
    }

    [Fact]
    public async Task Taking_back_the_first_step_leaves_a_doubt_on_the_later_one()
    {
        var (studio, bisque, glaze, piece) = await Open();
        var first = TestStudio.IdOf(await Book(studio, bisque, piece));
        var later = TestStudio.IdOf(await Book(studio, glaze, piece, ahead: true));
        Assert.Null(await DoubtOf(studio, glaze, later));
        (await studio.Potter.Post($"{studio.Path}/firings/{bisque}/bookings/{first}/withdrawal")).Expect(HttpStatusCode.OK);
        Assert.Equal("bookings.earlier-step-missing", await DoubtOf(studio, glaze, later));
        Assert.Equal(1, await Told("bookings.doubt", later));
        (await Book(studio, bisque, piece)).Expect(HttpStatusCode.Created);
        Assert.Null(await DoubtOf(studio, glaze, later));
    }

    [Fact]
    public async Task Ware_that_was_never_bisqued_is_not_loaded_as_bisque()
    {
        var (studio, bisque, glaze, piece) = await Open();
        var first = TestStudio.IdOf(await Book(studio, bisque, piece));
        (await Book(studio, glaze, piece, ahead: true)).Expect(HttpStatusCode.Created);
        (await studio.Potter.Post($"{studio.Path}/firings/{bisque}/bookings/{first}/withdrawal")).Expect(HttpStatusCode.OK);
        await studio.Technician.Put($"{studio.Path}/firings/{glaze}/state", new { state = "fixed" });
        var refused = (await studio.Technician.Put($"{studio.Path}/firings/{glaze}/load", new { placed = new[] { new { pieceId = piece } } }))
            .Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("bookings.step-not-done", refused.Code);
    }

    [Fact]
    public async Task Ware_booked_ahead_goes_through_both_firings_and_is_glazed_in_the_end()
    {
        var (studio, bisque, glaze, piece) = await Open();
        (await Book(studio, bisque, piece)).Expect(HttpStatusCode.Created);
        (await Book(studio, glaze, piece, ahead: true)).Expect(HttpStatusCode.Created);
        foreach (var firing in new[] { bisque, glaze })
        {
            await Step(studio, firing, "fixed");
            (await studio.Technician.Put($"{studio.Path}/firings/{firing}/load", new { placed = new[] { new { pieceId = piece } } })).Expect(HttpStatusCode.OK);
            foreach (var state in (string[])["heating", "cooling", "unloaded"]) await Step(studio, firing, state);
        }

        var copy = (await studio.Viewer.Get($"{studio.Path}/pieces/{piece}")).Body.GetProperty("copies")[0];
        Assert.Equal("glazed", copy.GetProperty("stage").GetString());
        Assert.Equal("04", copy.GetProperty("bisquedAt").GetString());
        Assert.Equal(["6"], copy.GetProperty("layersFiredAt").EnumerateArray().Select(c => c.GetString()!));
        Assert.Empty(copy.GetProperty("booked").EnumerateArray());
    }

    [Fact]
    public async Task Coats_are_listed_in_the_order_they_go_on()
    {
        var (studio, _, _, _) = await Open();
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var refused = await studio.Potter.Post(
            studio.Path + "/pieces", Bird(clay, new object[] { new { glazeId = glaze, goesOnAt = "bisque" }, new { glazeId = glaze } }));
        Assert.Contains("pieces.layer-order", refused.Expect(HttpStatusCode.BadRequest).Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_changed_booking_holds_the_ware_as_it_is_now()
    {
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var piece = await studio.MakePiece(studio.Potter, clay, glaze, quantity: 2);
        var booked = (await Book(studio, firing, piece)).Expect(HttpStatusCode.Created).Body.GetProperty("id").GetGuid();
        var path = $"{studio.Path}/firings/{firing}/bookings/{booked}";
        var changed = (await studio.Potter.Post(path + "/change", new { pieces = new[] { new { pieceId = piece, copies = new[] { 1 } } } }))
            .Expect(HttpStatusCode.OK).Body;
        Assert.Equal(1, Assert.Single(changed.GetProperty("copies").EnumerateArray()).GetProperty("copy").GetInt32());
        (await Book(studio, firing, piece, copies: [0])).Expect(HttpStatusCode.Created);
        (await Patch(studio, piece, new { heightMm = 690 })).Expect(HttpStatusCode.OK);
        Assert.Equal("loading.cannot-fit", (await studio.Potter.Post(path + "/change", new { })).Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("confirmed", (await studio.Viewer.Get(path)).Body.GetProperty("state").GetString());
        (await Patch(studio, piece, new { heightMm = 200 })).Expect(HttpStatusCode.OK);
        (await studio.Potter.Post(path + "/change", new { })).Expect(HttpStatusCode.OK);
        var plan = (await studio.Viewer.Get($"{studio.Path}/firings/{firing}/load-plan")).Body;
        Assert.True(plan.GetProperty("plan").GetProperty("topMm").GetDecimal() >= 200, plan.ToString());
    }

    [Fact]
    public async Task Ware_that_stayed_behind_heads_the_line_of_the_next_firing_that_suits()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var (first, next) = (await studio.MakeFiring(kiln, 2), await studio.MakeFiring(kiln, 4));
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var (stays, goes) = (await studio.MakePiece(studio.Potter, clay, glaze), await studio.MakePiece(studio.Potter, clay, glaze));
        foreach (var piece in new[] { stays, goes }) (await Book(studio, first, piece)).Expect(HttpStatusCode.Created);
        await Step(studio, first, "fixed");
        var load = (await studio.Technician.Put($"{studio.Path}/firings/{first}/load", new
        {
            placed = new[] { new { pieceId = goes } },
            leftBehind = new[] { new { pieceId = stays, reason = "still damp at the foot" } },
        })).Expect(HttpStatusCode.OK).Body;
        var line = load.GetProperty("items").EnumerateArray().Single(i => i.GetProperty("pieceId").GetGuid() == stays);
        Assert.Equal(next, line.GetProperty("nextFiringId").GetGuid());
        var all = (await studio.Technician.Put($"{studio.Path}/firings/{first}/load", new
        {
            placed = new[] { new { pieceId = goes } },
            leftBehind = new[] { new { pieceId = stays, reason = "still damp" } }
        })).Expect(HttpStatusCode.OK);
        Assert.Contains(next.ToString(), all.Text, StringComparison.Ordinal);
        Assert.Equal("confirmed", await StateWithin(studio, $"{studio.Path}/firings/{next}/bookings"));
    }

    [Fact]
    public async Task Ware_that_stayed_behind_comes_before_those_who_wait_already()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var (first, next) = (await studio.MakeFiring(kiln, 2), await studio.MakeFiring(kiln, 4));
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        Task<Guid> Wide(Caller potter) => studio.MakePiece(potter, clay, glaze, diameterMm: 400, heightMm: 560);
        var stays = await Wide(studio.Potter);
        (await Book(studio, first, stays)).Expect(HttpStatusCode.Created);
        var holds = TestStudio.IdOf(await Book(studio, next, await Wide(studio.Potter)));
        var waits = TestStudio.IdOf(await studio.OtherPotter.Post(
            $"{studio.Path}/firings/{next}/bookings", new { pieces = new[] { new { pieceId = await Wide(studio.OtherPotter) } }, mayWait = true }));
        await Step(studio, first, "fixed");
        (await studio.Technician.Put($"{studio.Path}/firings/{first}/load",
            new { placed = Array.Empty<object>(), leftBehind = new[] { new { pieceId = stays, reason = "still damp" } } })).Expect(HttpStatusCode.OK);
        (await studio.Potter.Post($"{studio.Path}/firings/{next}/bookings/{holds}/withdrawal")).Expect(HttpStatusCode.OK);
        var line = new Dictionary<Guid, string>();
        for (var tries = 0; tries < 600 && !line.ContainsValue("confirmed"); tries++)
        {
            await Task.Delay(100, TestContext.Current.CancellationToken);
            line = (await studio.Viewer.Get($"{studio.Path}/firings/{next}/bookings")).Body.GetProperty("items").EnumerateArray()
                .ToDictionary(b => b.GetProperty("copies")[0].GetProperty("pieceId").GetGuid(), b => b.GetProperty("state").GetString()!);
        }

        Assert.Equal("confirmed", line[stays]);
        Assert.Equal("waiting", (await studio.Viewer.Get($"{studio.Path}/firings/{next}/bookings/{waits}")).Body.GetProperty("state").GetString());
    }

    [Fact]
    public async Task The_proposals_hold_the_next_step_of_what_is_not_booked()
    {
        var (studio, bisque, _, piece) = await Open();
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var twins = await studio.MakePiece(studio.Potter, clay, glaze, quantity: 2);
        var hot = await studio.MakePiece(studio.Potter, await studio.MakeClay("12", "13"), glaze);
        var both = (await studio.Viewer.Get(studio.Path + "/proposals")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(["bisque", "glaze"], both.GetProperty("firings").EnumerateArray().Select(f => f.GetProperty("kind").GetString()!));
        Assert.Equal([0, 1], both.GetProperty("firings")[1].GetProperty("pieces")[0].GetProperty("copies").EnumerateArray().Select(c => c.GetInt32()));
        Assert.Equal(twins, both.GetProperty("firings")[1].GetProperty("pieces")[0].GetProperty("pieceId").GetGuid());
        Assert.Equal(hot, Assert.Single(both.GetProperty("leftOut").EnumerateArray()).GetProperty("pieceId").GetGuid());
        (await Book(studio, bisque, piece)).Expect(HttpStatusCode.Created);
        var one = (await studio.Viewer.Get(studio.Path + "/proposals")).Body.GetProperty("firings");
        Assert.Equal("glaze", Assert.Single(one.EnumerateArray()).GetProperty("kind").GetString());
    }

    // Two plates of 300 mm side by side are wider than the shelf: of five, each has one of the kiln's four whole shelves for itself, and none lies on a half.
    [Fact]
    public async Task A_proposal_says_how_many_loads_of_each_kiln_it_comes_to()
    {
        var studio = await service.MakeStudio();
        var (clay, glaze, small) = (await studio.MakeClay(), await studio.MakeGlaze(), await studio.MakeKiln());
        for (var i = 0; i < 5; i++) await studio.MakePiece(studio.Potter, clay, glaze, diameterMm: 300, heightMm: 45);
        await studio.MakePiece(studio.Potter, clay, glaze, diameterMm: 200, heightMm: 900);

        var firing = Assert.Single(
            (await studio.Viewer.Get(studio.Path + "/proposals")).Expect(HttpStatusCode.OK).Body.GetProperty("firings").EnumerateArray());

        var loads = Assert.Single(firing.GetProperty("loads").EnumerateArray());
        Assert.Equal(small, loads.GetProperty("kilnId").GetGuid());
        Assert.Equal((2, 1, 1),
            (loads.GetProperty("loads").GetInt32(), loads.GetProperty("leastLoads").GetInt32(), loads.GetProperty("copiesWithoutPlace").GetInt32()));
    }

    [Fact]
    public async Task A_state_is_not_moved_from_an_old_version()
    {
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        var stale = await studio.Technician.Put($"{studio.Path}/firings/{firing}/state", new { state = "fixed" }, "\"1\"");
        Assert.Equal("request.stale", stale.Expect(HttpStatusCode.PreconditionFailed).Code);
    }

    private static async Task Step(TestStudio studio, Guid firing, string state) =>
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/state", new { state, answeredBy = "Tilo" })).Expect(HttpStatusCode.OK);

    private static Task<Reply> Book(TestStudio studio, Guid firing, Guid piece, bool ahead = false, int[]? copies = null) =>
        studio.Potter.Post(
            $"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece, copies } }, ahead, accepts = new[] { "drying-time" } });

    private static async Task<string?> DoubtOf(TestStudio studio, Guid firing, Guid booking)
    {
        var copy = (await studio.Viewer.Get($"{studio.Path}/firings/{firing}/bookings/{booking}")).Body.GetProperty("copies")[0];
        return copy.TryGetProperty("doubt", out var doubt) && doubt.ValueKind == JsonValueKind.Object ? doubt.GetProperty("code").GetString() : null;
    }

    private async Task<long> Told(string kind, Guid subject)
    {
        await using var source = Npgsql.NpgsqlDataSource.Create(service.Links.Admin);
        await using var command = source.CreateCommand($"select count(*) from outbox where kind = '{kind}' and payload::jsonb ->> 'id' = '{subject}'");
        return (long)(await command.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
    }

    private static Task<Reply> Patch(TestStudio studio, Guid piece, object patch) => studio.Potter.Patch($"{studio.Path}/pieces/{piece}", patch, "*");

    private static async Task<string?> StateWithin(TestStudio studio, string path)
    {
        for (var tries = 0; ; tries++)
        {
            var state = (await studio.Viewer.Get(path)).Body.GetProperty("items")[0].GetProperty("state").GetString();
            if (state == "confirmed" || tries == 600) return state;
            await Task.Delay(100, TestContext.Current.CancellationToken);
        }
    }

    private static object Bird(Guid clay, object[] layers) => new
    {
        name = "bird",
        mark = "B1",
        footprint = TestStudio.Circle(90),
        heightMm = 120,
        massG = 500,
        clayId = clay,
        layers,
        stage = "greenware",
        dryness = "dry",
        drySince = "2026-01-01T08:00:00Z",
        wallMm = 6,
        bareFootMm = 6,
    };

    private async Task<(TestStudio Studio, Guid Bisque, Guid Glaze, Guid Piece)> Open()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var clay = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/clays", new
        {
            name = "casting stoneware",
            cones = new { from = "5", to = "7" },
            bisqueCones = new { from = "08", to = "04" },
            atmospheres = new[] { "oxidation" },
            expansionPpmPerC = 6.9,
            expansionMethod = "dilatometer",
            contains = Array.Empty<object>(),
        }));
        var start = DateTimeOffset.UnixEpoch.AddDays(28_203);
        var bisque = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/firings",
            new { kilnId = kiln, kind = "bisque", cone = "04", startsAt = start.ToString("O"), firingHours = 11, coolingHours = 20 }));
        await Step(studio, bisque, "accepting");
        var glaze = await studio.MakeFiring(kiln, 4);
        var piece = TestStudio.IdOf(
            await studio.Potter.Post(studio.Path + "/pieces", Bird(clay, [new { glazeId = await studio.MakeGlaze(), coats = 2, goesOnAt = "bisque" }])));
        return (studio, bisque, glaze, piece);
    }
}
