using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

public sealed class BookingTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task A_booking_that_fits_is_confirmed_with_its_places()
    {
        var (studio, firing, clay, glaze) = await Open();
        var piece = await studio.MakePiece(studio.Potter, clay, glaze, quantity: 3);
        var booked = (await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", Wants(piece))).Expect(HttpStatusCode.Created).Body;
        Assert.True(booked.GetProperty("state").GetString() == "confirmed", booked.ToString());
        Assert.Equal(1, booked.GetProperty("loadVersion").GetInt64());
        Assert.All(booked.GetProperty("copies").EnumerateArray(), copy => Assert.Equal(0, copy.GetProperty("shelf").GetInt32()));
    }

    [Fact]
    public async Task The_same_key_gets_the_same_answer_and_another_body_is_refused()
    {
        var (studio, firing, clay, glaze) = await Open();
        var piece = await studio.MakePiece(studio.Potter, clay, glaze);
        var other = await studio.MakePiece(studio.Potter, clay, glaze);
        var path = $"{studio.Path}/firings/{firing}/bookings";
        var first = (await studio.Potter.Post(path, Wants(piece), "key-1")).Expect(HttpStatusCode.Created);
        var again = (await studio.Potter.Post(path, Wants(piece), "key-1")).Expect(HttpStatusCode.Created);
        Assert.Equal(first.Text, again.Text);
        Assert.Equal("request.idempotency-key-reused", (await studio.Potter.Post(path, Wants(other), "key-1")).Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("request.idempotency-key", (await studio.Potter.Post(path, Wants(other), "")).Expect(HttpStatusCode.BadRequest).Code);
        Assert.Single((await studio.Viewer.Get(path)).Body.GetProperty("items").EnumerateArray());
    }

    [Fact]
    public async Task A_copy_is_booked_once_for_a_step_of_its_route()
    {
        var (studio, firing, clay, glaze) = await Open();
        var piece = await studio.MakePiece(studio.Potter, clay, glaze);
        await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", Wants(piece));
        var again = await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", Wants(piece));
        Assert.Equal("pieces.already-booked", again.Expect(HttpStatusCode.Conflict).Code);
    }

    [Fact]
    public async Task A_firing_that_is_not_accepting_takes_no_bookings()
    {
        var (studio, firing, clay, glaze) = await Open();
        var piece = await studio.MakePiece(studio.Potter, clay, glaze);
        await studio.Technician.Put($"{studio.Path}/firings/{firing}/state", new { state = "fixed" });
        var refused = await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", Wants(piece));
        Assert.Equal("firings.not-accepting", refused.Expect(HttpStatusCode.Conflict).Code);
    }

    [Fact]
    public async Task Ware_that_would_melt_is_refused_with_the_rule_and_nothing_is_stored()
    {
        var (studio, firing, _, glaze) = await Open();
        var earthenware = await studio.MakeClay("06", "02");
        var piece = await studio.MakePiece(studio.Potter, earthenware, glaze);
        var refused = (await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", Wants(piece))).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("cofiring.incompatible", refused.Code);
        Assert.Contains("body-top-cone", refused.Text, StringComparison.Ordinal);
        Assert.Empty((await studio.Viewer.Get($"{studio.Path}/firings/{firing}/bookings")).Body.GetProperty("items").EnumerateArray());
    }

    [Fact]
    public async Task Too_tall_ware_is_refused_as_proven()
    {
        var (studio, firing, clay, glaze) = await Open();
        var piece = await studio.MakePiece(studio.Potter, clay, glaze, heightMm: 690);
        Assert.Equal("loading.cannot-fit", (await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", Wants(piece)))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        var patient = await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece } }, mayWait = true });
        Assert.Equal("loading.cannot-fit", patient.Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    [Fact]
    public async Task Room_that_a_kiln_keeps_for_its_thermocouple_and_witness_cones_is_kept_from_bookings()
    {
        var studio = await service.MakeStudio();
        object KeepOut(int diameter) => new { footprint = new { kind = "circle", diameterMm = diameter }, xMm = 0, yMm = 0, fromMm = 60, toMm = 685 };
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        foreach (var (diameter, status) in new[] { (60, HttpStatusCode.Created), (500, HttpStatusCode.UnprocessableEntity) })
        {
            var kiln = await studio.MakeKiln(keepOuts: new[] { KeepOut(diameter) });
            var read = (await studio.Viewer.Get($"{studio.Path}/kilns/{kiln}")).Expect(HttpStatusCode.OK).Body;
            Assert.Equal(60, Assert.Single(read.GetProperty("keepOuts").EnumerateArray()).GetProperty("fromMm").GetDecimal());
            var firing = await studio.MakeFiring(kiln);
            (await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", Wants(
                await studio.MakePiece(studio.Potter, clay, glaze, diameterMm: 120, heightMm: 200)))).Expect(status);
            if (status != HttpStatusCode.Created) continue;
            var plan = (await studio.Viewer.Get($"{studio.Path}/firings/{firing}/load-plan")).Expect(HttpStatusCode.OK).Body.GetProperty("plan");
            Assert.Equal(1, plan.GetProperty("advice").GetProperty("order").GetArrayLength());
            var placement = plan.GetProperty("shelves")[0].GetProperty("placements")[0];
            Assert.True(double.Hypot(placement.GetProperty("xMm").GetDouble(), placement.GetProperty("yMm").GetDouble()) >= 60 + 30 + 6);
        }
    }

    [Fact]
    public async Task A_withdrawal_frees_the_room_and_the_first_who_waits_gets_it()
    {
        var (studio, firing, clay, glaze) = await Open();
        var path = $"{studio.Path}/firings/{firing}/bookings";
        var wide = await studio.MakePiece(studio.Potter, clay, glaze, diameterMm: 400, heightMm: 560);
        var waits = await studio.MakePiece(studio.OtherPotter, clay, glaze, diameterMm: 400, heightMm: 560);
        var first = TestStudio.IdOf(await studio.Potter.Post(path, Wants(wide)));
        var refused = (await studio.OtherPotter.Post(path, Wants(waits))).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Contains("loading.", refused.Code, StringComparison.Ordinal);
        Assert.Contains("1 of other members' pieces (the largest covers 1257 cm² and is 560 mm high)", refused.Body.GetProperty("detail")
            .GetString(), StringComparison.Ordinal);
        var second = (await studio.OtherPotter.Post(path, new { pieces = new[] { new { pieceId = waits } }, mayWait = true }))
            .Expect(HttpStatusCode.Created).Body;
        Assert.Equal("waiting", second.GetProperty("state").GetString());
        Assert.Equal("withdrawn", (await studio.Potter.Post($"{path}/{first}/withdrawal")).Expect(HttpStatusCode.OK).Body.GetProperty("state").GetString());
        Assert.Equal("confirmed", await StateWithin(studio, $"{path}/{second.GetProperty("id").GetGuid()}", "confirmed"));
    }

    [Fact]
    public async Task Another_members_ware_is_not_booked_by_a_potter()
    {
        var (studio, firing, clay, glaze) = await Open();
        var piece = await studio.MakePiece(studio.OtherPotter, clay, glaze);
        Assert.Equal("access.not-yours", (await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", Wants(piece)))
            .Expect(HttpStatusCode.Forbidden).Code);
        (await studio.Technician.Post($"{studio.Path}/firings/{firing}/bookings", Wants(piece))).Expect(HttpStatusCode.Created);
    }

    private static object Wants(Guid piece) => new { pieces = new[] { new { pieceId = piece } } };

    private static async Task<string?> StateWithin(TestStudio studio, string path, string wanted)
    {
        for (var tries = 0; ; tries++)
        {
            var state = (await studio.Viewer.Get(path)).Body.GetProperty("state").GetString();
            if (state == wanted || tries == 600) return state;
            await Task.Delay(100, TestContext.Current.CancellationToken);
        }
    }

    private async Task<(TestStudio Studio, Guid Firing, Guid Clay, Guid Glaze)> Open()
    {
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        return (studio, firing, await studio.MakeClay(), await studio.MakeGlaze());
    }
}
