using System.Net;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Costs;

public sealed class BookingFeeTests(Service service) : IClassFixture<Service>
{
    // One firing of 63.4 kWh is metered: 1978 and wear of 450. It held four pieces of two: who books one alone is quoted a quarter of the energy and
    // half of the wear, 719 or 720 as the odd cent falls. Half of either is 360, a quarter 180.
    private const long Quoted = 720;

    [Fact]
    public async Task A_late_withdrawal_costs_what_the_rules_say_and_is_booked_with_it()
    {
        var studio = await CostStudio.Make(service);
        var (_, booking) = await Booked(studio, Late(percent: 50, flatMinor: 0));
        var before = await studio.Balance(studio.Studio.PotterId);
        var withdrawn = (await studio.Studio.Potter.Post(booking + "/withdrawal")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(Quoted / 2, withdrawn.GetProperty("feeMinor").GetInt64());
        Assert.Equal(before + (Quoted / 2), await studio.Balance(studio.Studio.PotterId));
        Assert.Equal(Quoted / 2, (await studio.Studio.Potter.Get(booking)).Body.GetProperty("feeMinor").GetInt64());
        var entry = (await studio.Statement(studio.Studio.Potter, studio.Studio.PotterId, "2020-01-01", "2090-01-01")).Body.GetProperty("entries")
            .EnumerateArray().Last();
        Assert.StartsWith(
            "late withdrawal from the glaze firing to cone 6, Round top-loader, ", entry.GetProperty("what").GetString(), StringComparison.Ordinal);
        Assert.Equal(("withdrawal", "adjustment"), (entry.GetProperty("part").GetString(), entry.GetProperty("kind").GetString()));
        Assert.Empty(await InvariantTests.Broken(service));
    }

    [Fact]
    public async Task Withdrawing_again_and_sixteen_times_at_once_charges_once()
    {
        var studio = await CostStudio.Make(service);
        var (_, booking) = await Booked(studio, Late(percent: 0, flatMinor: 250));
        var before = await studio.Balance(studio.Studio.PotterId);
        var replies = await Task.WhenAll(Enumerable.Range(0, 16).Select(_ => studio.Studio.Potter.Post(booking + "/withdrawal")));
        Assert.All(replies, r => Assert.Equal(250, r.Expect(HttpStatusCode.OK).Body.GetProperty("feeMinor").GetInt64()));
        Assert.Equal(250, (await studio.Studio.Potter.Post(booking + "/withdrawal")).Expect(HttpStatusCode.OK).Body.GetProperty("feeMinor").GetInt64());
        Assert.Equal(before + 250, await studio.Balance(studio.Studio.PotterId));
        Assert.Empty(await InvariantTests.Broken(service));
    }

    // The test's firings begin some weeks from now, so that a step of one hour does not hold yet.
    [Fact]
    public async Task Withdrawing_in_time_costs_nothing()
    {
        var studio = await CostStudio.Make(service);
        var (_, booking) = await Booked(studio, new { withdrawal = new[] { new { hoursBefore = 1, percent = 100, flatMinor = 900 } } });
        var before = await studio.Balance(studio.Studio.PotterId);
        Assert.False((await studio.Studio.Potter.Post(booking + "/withdrawal")).Expect(HttpStatusCode.OK).Body.TryGetProperty("feeMinor", out _));
        Assert.Equal(before, await studio.Balance(studio.Studio.PotterId));
    }

    [Fact]
    public async Task A_booking_that_waits_holds_no_place_and_pays_nothing()
    {
        var studio = await CostStudio.Make(service);
        await studio.Rules(Late(percent: 0, flatMinor: 250));
        var firing = await studio.Accepting();
        var (clay, glaze) = (await studio.Studio.MakeClay(), await studio.Studio.MakeGlaze());
        var path = $"{studio.Path}/firings/{firing}/bookings";
        var wide = await studio.Studio.MakePiece(studio.Studio.OtherPotter, clay, glaze, diameterMm: 400, heightMm: 560);
        var waits = await studio.Studio.MakePiece(studio.Studio.Potter, clay, glaze, diameterMm: 400, heightMm: 560);
        (await studio.Studio.OtherPotter.Post(path, new { pieces = new[] { new { pieceId = wide } } })).Expect(HttpStatusCode.Created);
        var second = (await studio.Studio.Potter.Post(path, new { pieces = new[] { new { pieceId = waits } }, mayWait = true }))
            .Expect(HttpStatusCode.Created).Body;
        Assert.Equal("waiting", second.GetProperty("state").GetString());
        Assert.False((await studio.Studio.Potter.Post($"{path}/{second.GetProperty("id").GetGuid()}/withdrawal"))
            .Expect(HttpStatusCode.OK).Body.TryGetProperty("feeMinor", out _));
        Assert.Equal(0, await studio.Balance(studio.Studio.PotterId));
    }

    [Fact]
    public async Task Who_waited_and_got_a_place_pays_like_everyone_else()
    {
        var studio = await CostStudio.Make(service);
        await studio.Settled();
        await studio.Rules(Late(percent: 50, flatMinor: 0));
        var firing = await studio.Accepting();
        var (clay, glaze) = (await studio.Studio.MakeClay(), await studio.Studio.MakeGlaze());
        var path = $"{studio.Path}/firings/{firing}/bookings";
        var wide = await studio.Studio.MakePiece(studio.Studio.OtherPotter, clay, glaze, diameterMm: 400, heightMm: 560);
        var waits = await studio.Studio.MakePiece(studio.Studio.Potter, clay, glaze, diameterMm: 400, heightMm: 560);
        var first = TestStudio.IdOf(await studio.Studio.OtherPotter.Post(path, new { pieces = new[] { new { pieceId = wide } } }));
        var second = TestStudio.IdOf(await studio.Studio.Potter.Post(path, new { pieces = new[] { new { pieceId = waits } }, mayWait = true }));
        (await studio.Studio.OtherPotter.Post($"{path}/{first}/withdrawal")).Expect(HttpStatusCode.OK);
        for (var i = 0; i < 600 && (await studio.Studio.Potter.Get($"{path}/{second}")).Body.GetProperty("state").GetString() != "confirmed"; i++)
            await Task.Delay(100, TestContext.Current.CancellationToken);
        // So large a piece fills the kiln more than the firing before: nobody is expected beside it, and half of all its 2428 is the fee.
        Assert.Equal(2428 / 2, (await studio.Studio.Potter.Post($"{path}/{second}/withdrawal")).Expect(HttpStatusCode.OK).Body.GetProperty("feeMinor")
            .GetInt64());
    }

    // One of two equal pieces: half of 1978 and of 450 is 1214. Three of four: 1483.5 by room and 225 of the wear.
    [Fact]
    public async Task A_changed_booking_is_quoted_anew_and_its_fee_goes_by_that()
    {
        var studio = await CostStudio.Make(service);
        await studio.Settled();
        await studio.Rules(Late(percent: 100, flatMinor: 0));
        var path = $"{studio.Path}/firings/{await studio.Accepting()}/bookings";
        (await studio.Studio.OtherPotter.Post(path, new { pieces = new[] { new { pieceId = await studio.Piece(studio.Studio.OtherPotter) } } }))
            .Expect(HttpStatusCode.Created);
        var booking = TestStudio.IdOf(
            await studio.Studio.Potter.Post(path, new { pieces = new[] { new { pieceId = await studio.Piece(studio.Studio.Potter) } } }));
        (await studio.Studio.Potter.Post($"{path}/{booking}/change", new { pieces = new[] { new { pieceId = await studio.Piece(studio.Studio.Potter, 3) } } }))
            .Expect(HttpStatusCode.OK);
        Assert.InRange((await studio.Studio.Potter.Post($"{path}/{booking}/withdrawal")).Expect(HttpStatusCode.OK).Body.GetProperty("feeMinor")
            .GetInt64(), 1483 + 225, 1484 + 225);
    }

    [Theory]
    [InlineData("state")]
    [InlineData("delete")]
    public async Task Calling_a_firing_off_charges_each_confirmed_booking_the_stated_part_of_its_quote_once(string by)
    {
        var studio = await CostStudio.Make(service);
        var (firing, booking) = await Booked(studio, new { failed = new { cancelledPercent = 25 } });
        var path = $"{studio.Path}/firings/{firing}";
        var before = await studio.Balance(studio.Studio.PotterId);
        Task<Reply> Cancel() => by == "state" ? studio.Studio.Technician.Put(path + "/state", new { state = "cancelled" })
            : DeleteWithTag();
        async Task<Reply> DeleteWithTag() => await studio.Studio.Technician.Delete(path, await studio.Studio.Technician.Tag(path));
        var first = await Cancel();
        Assert.True(first.Status is HttpStatusCode.OK or HttpStatusCode.NoContent, first.Text);
        Assert.Equal(before + (Quoted / 4), await studio.Balance(studio.Studio.PotterId));
        (await Cancel()).Expect(HttpStatusCode.Conflict);
        Assert.Equal(before + (Quoted / 4), await studio.Balance(studio.Studio.PotterId));
        Assert.Equal(Quoted / 4, (await studio.Studio.Potter.Get(booking)).Body.GetProperty("feeMinor").GetInt64());
        Assert.Empty(await InvariantTests.Broken(service));
    }

    [Fact]
    public async Task By_the_usual_rules_neither_withdrawing_nor_calling_off_costs_anything()
    {
        var studio = await CostStudio.Make(service);
        var (firing, _) = await Booked(studio, new { });
        var before = await studio.Balance(studio.Studio.PotterId);
        (await studio.Studio.Technician.Put($"{studio.Path}/firings/{firing}/state", new { state = "cancelled" })).Expect(HttpStatusCode.OK);
        Assert.Equal(before, await studio.Balance(studio.Studio.PotterId));
    }

    // The withdrawal and its fee are one transaction: a books' wall that refuses the entry leaves the booking confirmed.
    [Fact]
    public async Task Where_the_fee_cannot_be_written_the_booking_is_not_withdrawn()
    {
        var studio = await CostStudio.Make(service);
        var (_, booking) = await Booked(studio, Late(percent: 0, flatMinor: 250));
        await Run("alter table booking_fee add constraint ck_test_refuses check (amount_minor <> 250) not valid");
        try
        {
            Assert.Equal(HttpStatusCode.InternalServerError, (await studio.Studio.Potter.Post(booking + "/withdrawal")).Status);
        }
        finally
        {
            await Run("alter table booking_fee drop constraint ck_test_refuses");
        }

        Assert.Equal("confirmed", (await studio.Studio.Potter.Get(booking)).Body.GetProperty("state").GetString());
        Assert.Equal(250, (await studio.Studio.Potter.Post(booking + "/withdrawal")).Expect(HttpStatusCode.OK).Body.GetProperty("feeMinor").GetInt64());
    }

    [Fact]
    public async Task Steps_that_make_no_sense_are_refused_where_they_stand()
    {
        var studio = await CostStudio.Make(service);
        async Task Refused(object step, string pointer) => Assert.Equal(pointer, (await studio.Studio.Owner.Send(
            HttpMethod.Put, studio.Path + "/cost-rules", new { withdrawal = new[] { step } }, ifMatch: "*")).Expect(HttpStatusCode.BadRequest).Pointer);
        await Refused(new { hoursBefore = -1, percent = 5 }, "/withdrawal/0/hoursBefore");
        await Refused(new { hoursBefore = 1, percent = 101 }, "/withdrawal/0/percent");
        await Refused(new { hoursBefore = 1, flatMinor = -1 }, "/withdrawal/0/flatMinor");
        await Refused(new { hoursBefore = 1 }, "/withdrawal/0/flatMinor");
        var twice = new { withdrawal = new[] { new { hoursBefore = 4, percent = 5 }, new { hoursBefore = 4, percent = 6 } } };
        Assert.Equal("costs.named-twice", (await studio.Studio.Owner.Send(HttpMethod.Put, studio.Path + "/cost-rules", twice, ifMatch: "*"))
            .Expect(HttpStatusCode.BadRequest).Code);
    }

    private static object Late(int percent, long flatMinor) => new { withdrawal = new[] { new { hoursBefore = 2_000, percent, flatMinor } } };

    /// <summary>A firing with one booking of the potter's, quoted by one metered firing before.</summary>
    private static async Task<(Guid Firing, string Booking)> Booked(CostStudio studio, object rules)
    {
        await studio.Settled();
        await studio.Rules(rules);
        var firing = await studio.Accepting();
        var booked = (await studio.Studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings",
            new { pieces = new[] { new { pieceId = await studio.Piece(studio.Studio.Potter) } } })).Expect(HttpStatusCode.Created).Body;
        Assert.Equal("confirmed", booked.GetProperty("state").GetString());
        return (firing, $"{studio.Path}/firings/{firing}/bookings/{booked.GetProperty("id").GetGuid()}");
    }

    private async Task Run(string sql)
    {
        await using var admin = new NpgsqlConnection(service.Links.Admin + ";Pooling=false");
        await admin.OpenAsync(TestContext.Current.CancellationToken);
        await using var command = new NpgsqlCommand(sql, admin);
        await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
    }
}
