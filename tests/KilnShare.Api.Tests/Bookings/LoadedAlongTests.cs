using System.Net;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>What is in a kiln is live there: no other place can be had for it.</summary>
public sealed class LoadedAlongTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Ware_put_in_without_a_booking_is_neither_booked_elsewhere_nor_proposed_while_it_is_in()
    {
        var (studio, first, next, piece) = await Open();
        await Load(studio, first, piece);
        foreach (var state in (string[])["loaded", "heating", "cooling"])
        {
            if (state != "loaded") await Move(studio, first, state);
            Assert.Equal("pieces.already-booked", (await Book(studio, next, piece)).Expect(HttpStatusCode.Conflict).Code);
            Assert.Empty((await studio.Viewer.Get(studio.Path + "/proposals")).Expect(HttpStatusCode.OK).Body.GetProperty("firings").EnumerateArray());
        }

        var booking = Assert.Single(
            (await studio.Viewer.Get($"{studio.Path}/firings/{first}/bookings")).Expect(HttpStatusCode.OK).Body.GetProperty("items").EnumerateArray());
        Assert.Equal(("loaded", studio.PotterId), (booking.GetProperty("state").GetString(), booking.GetProperty("memberId").GetGuid()));
    }

    [Fact]
    public async Task A_kiln_emptied_again_or_loaded_by_another_list_lets_go_of_what_is_not_in_it()
    {
        var (studio, first, next, piece) = await Open();
        await Load(studio, first, piece);
        await Load(studio, first);
        (await Book(studio, next, piece)).Expect(HttpStatusCode.Created);
        var other = await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze());
        await Load(studio, first, other);
        await Move(studio, first, "fixed");
        (await Book(studio, next, other)).Expect(HttpStatusCode.Created);
    }

    [Fact]
    public async Task Who_waited_and_went_in_all_the_same_is_in()
    {
        var (studio, first, next, piece) = await Open("accepting");
        var waiting = (await studio.Potter.Post(
            $"{studio.Path}/firings/{first}/bookings", new
            {
                pieces = new[] { new { pieceId = await Unknown(studio, piece) } },
                accepts = new[] { "glaze-body-expansion" }
            })).Expect(HttpStatusCode.Created).Body;
        Assert.Equal("waiting", waiting.GetProperty("state").GetString());
        await Move(studio, first, "fixed");
        await Load(studio, first, piece);
        var states = (await studio.Viewer.Get($"{studio.Path}/firings/{first}/bookings")).Body.GetProperty("items").EnumerateArray()
            .Select(b => b.GetProperty("state").GetString()).Order();
        Assert.Equal(["loaded", "withdrawn"], states);
        Assert.Equal("pieces.already-booked", (await Book(studio, next, piece)).Expect(HttpStatusCode.Conflict).Code);
    }

    [Fact]
    public async Task A_piece_put_in_at_loading_and_booked_elsewhere_at_once_gets_one_place()
    {
        var studio = await service.MakeStudio();
        var (kiln, other) = (await studio.MakeKiln(), await studio.MakeKiln());
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        for (var turn = 0; turn < Races.Tries; turn++)
        {
            var (first, next) = (await studio.MakeFiring(kiln, turn), await studio.MakeFiring(other, turn));
            await Move(studio, first, "fixed");
            var piece = await studio.MakePiece(studio.Potter, clay, glaze);
            var replies = await Races.AtOnce(
                () => studio.Technician.Put($"{studio.Path}/firings/{first}/load", new { placed = new[] { new { pieceId = piece } } }),
                () => Book(studio, next, piece));
            Assert.Single(replies, r => (int)r.Status < 300);
            Assert.Equal("pieces.already-booked", replies.Single(r => (int)r.Status >= 300).Expect(HttpStatusCode.Conflict).Code);
        }
    }

    [Fact]
    public async Task A_piece_put_into_two_kilns_at_once_is_in_one()
    {
        var studio = await service.MakeStudio();
        var (kiln, other) = (await studio.MakeKiln(), await studio.MakeKiln());
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        for (var turn = 0; turn < Races.Tries; turn++)
        {
            var firings = new[] { await studio.MakeFiring(kiln, turn), await studio.MakeFiring(other, turn) };
            foreach (var firing in firings) await Move(studio, firing, "fixed");
            var piece = await studio.MakePiece(studio.Potter, clay, glaze);
            var replies = await Races.AtOnce([.. firings.Select(
                f => (Func<Task<Reply>>)(() => studio.Technician.Put($"{studio.Path}/firings/{f}/load", new { placed = new[] { new { pieceId = piece } } })))]);
            Assert.Single(replies, r => r.Status == HttpStatusCode.OK);
            Assert.Equal("pieces.already-booked", replies.Single(r => r.Status != HttpStatusCode.OK).Expect(HttpStatusCode.Conflict).Code);
        }
    }

    [Fact]
    public async Task The_database_itself_refuses_a_kiln_whose_ware_is_live_elsewhere_or_nowhere()
    {
        var (studio, first, _, piece) = await Open();
        await Load(studio, first, piece);
        string[] faults =
        [
            $"update booked_copy set state = 'Withdrawn' where firing_id = '{first}'",
            $"update booked_copy set step = -1 where firing_id = '{first}'",
            $"begin; set constraints all deferred; delete from booked_copy where firing_id = '{first}'; update load_item set shelf_no = 0 where firing_id = "
                + $"'{first}'; commit",
        ];
        foreach (var fault in faults)
        {
            var refused = await Assert.ThrowsAsync<PostgresException>(() => VersionHistory.Run(service.Links.Admin, fault));
            Assert.Equal(("23514", "ck_load_item_live"), (refused.SqlState, refused.ConstraintName));
        }
    }

    private static async Task<Guid> Unknown(TestStudio studio, Guid piece)
    {
        var glaze = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/glazes", new
        {
            name = "from a jar without a label",
            cones = new { from = "5", to = "6" },
            atmospheres = new[] { "oxidation" },
            contains = Array.Empty<object>()
        }));
        (await studio.Potter.Patch($"{studio.Path}/pieces/{piece}", new { layers = new[] { new { glazeId = glaze } }, bareFootMm = (int?)null },
            await studio.Potter.Tag($"{studio.Path}/pieces/{piece}"))).Expect(HttpStatusCode.OK);
        return piece;
    }

    private static async Task Load(TestStudio studio, Guid firing, params Guid[] pieces) =>
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/load", new { placed = pieces.Select(id => new { pieceId = id }) }))
            .Expect(HttpStatusCode.OK);

    private static async Task Move(TestStudio studio, Guid firing, string state) =>
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/state", new { state, answeredBy = "Tilo" })).Expect(HttpStatusCode.OK);

    private static Task<Reply> Book(TestStudio studio, Guid firing, Guid piece) =>
        studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece } } });

    /// <summary>A fixed firing, an open one in another kiln, and a piece that is booked for neither.</summary>
    private async Task<(TestStudio Studio, Guid First, Guid Next, Guid Piece)> Open(string state = "fixed")
    {
        var studio = await service.MakeStudio();
        var (first, next) = (await studio.MakeFiring(await studio.MakeKiln(), 2), await studio.MakeFiring(await studio.MakeKiln(), 4));
        if (state == "fixed") await Move(studio, first, "fixed");
        return (studio, first, next, await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze()));
    }
}
