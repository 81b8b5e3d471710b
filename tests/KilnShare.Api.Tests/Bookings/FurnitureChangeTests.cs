using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>
/// A kiln's shelves are changed while firings are planned on them: nobody is unbooked, nothing is sold that is gone, and old plans can still be read
/// and drawn.
/// </summary>
public sealed class FurnitureChangeTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Who_is_booked_stays_booked_and_nothing_more_is_done_until_it_is_planned_anew()
    {
        var place = await Place.Make(service);
        var booking = TestStudio.IdOf(await place.Book());
        (await place.Furnish("other")).Expect(HttpStatusCode.OK);

        Assert.Equal("confirmed", (await place.Studio.Potter.Get($"{place.Firing}/bookings/{booking}")).Body.GetProperty("state").GetString());
        var plan = (await place.Studio.Viewer.Get(place.Firing + "/load-plan")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("full", plan.GetProperty("plan").GetProperty("shelves")[0].GetProperty("shelfId").GetString());
        Assert.NotEqual(System.Text.Json.JsonValueKind.Null, plan.GetProperty("furnitureChangedAt").ValueKind);
        var refused = (await place.Book()).Expect(HttpStatusCode.Conflict);
        Assert.Equal("loading.furniture-changed", refused.Code);
        Assert.Contains("Round top-loader", refused.Text, StringComparison.Ordinal);
        Assert.Equal("loading.furniture-changed", (await place.Move("fixed")).Expect(HttpStatusCode.Conflict).Code);
        (await place.Studio.Potter.Post(place.Firing + "/load-plan")).Expect(HttpStatusCode.Forbidden);

        plan = (await place.Studio.Technician.Post(place.Firing + "/load-plan")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("other", plan.GetProperty("plan").GetProperty("shelves")[0].GetProperty("shelfId").GetString());
        Assert.Equal(System.Text.Json.JsonValueKind.Null, plan.GetProperty("furnitureChangedAt").ValueKind);
        (await place.Book()).Expect(HttpStatusCode.Created);
        (await place.Move("fixed")).Expect(HttpStatusCode.OK);
    }

    [Fact]
    public async Task A_fixed_firing_is_not_loaded_on_shelves_that_are_gone()
    {
        var place = await Place.Make(service);
        var piece = await place.Piece();
        (await place.Book(piece)).Expect(HttpStatusCode.Created);
        (await place.Move("fixed")).Expect(HttpStatusCode.OK);
        (await place.Furnish("other")).Expect(HttpStatusCode.OK);
        Assert.Equal("loading.furniture-changed", (await place.Load(piece)).Expect(HttpStatusCode.Conflict).Code);
        (await place.Studio.Technician.Post(place.Firing + "/load-plan")).Expect(HttpStatusCode.OK);
        (await place.Load(piece)).Expect(HttpStatusCode.OK);
        (await place.Studio.Technician.Post(place.Firing + "/load-plan")).Expect(HttpStatusCode.Conflict);
    }

    [Fact]
    public async Task A_booking_can_be_withdrawn_from_a_plan_whose_shelves_are_gone()
    {
        var place = await Place.Make(service);
        var bookings = new[] { TestStudio.IdOf(await place.Book()), TestStudio.IdOf(await place.Book()) };
        (await place.Furnish("other")).Expect(HttpStatusCode.OK);
        (await place.Studio.Potter.Post($"{place.Firing}/bookings/{bookings[0]}/withdrawal")).Expect(HttpStatusCode.OK);
        // The other one still stands on what is gone; without it the firing is empty and starts afresh.
        Assert.Equal("loading.furniture-changed", (await place.Book()).Expect(HttpStatusCode.Conflict).Code);
        (await place.Studio.Potter.Post($"{place.Firing}/bookings/{bookings[1]}/withdrawal")).Expect(HttpStatusCode.OK);
        (await place.Book()).Expect(HttpStatusCode.Created);
    }

    [Fact]
    public async Task A_change_that_the_plan_still_stands_on_stops_nobody()
    {
        var place = await Place.Make(service);
        (await place.Book()).Expect(HttpStatusCode.Created);
        (await place.Furnish("full", extraPosts: 3)).Expect(HttpStatusCode.OK);
        (await place.Book()).Expect(HttpStatusCode.Created);
        (await place.Move("fixed")).Expect(HttpStatusCode.OK);
    }

    [Fact]
    public async Task What_does_not_fit_on_the_new_furniture_is_named()
    {
        var place = await Place.Make(service);
        (await place.Book()).Expect(HttpStatusCode.Created);
        (await place.Furnish("small", diameterMm: 80)).Expect(HttpStatusCode.OK);
        var refused = (await place.Studio.Technician.Post(place.Firing + "/load-plan")).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("loading.no-place-found", refused.Code);
        Assert.Contains("cylinder (C)", refused.Text, StringComparison.Ordinal);
        Assert.Equal(0, refused.Body.GetProperty("values").GetProperty("fits").GetInt32());
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task A_plan_its_picture_and_its_sheet_are_drawn_on_the_furniture_it_was_made_for(bool loaded)
    {
        var place = await Place.Make(service);
        var piece = await place.Piece();
        (await place.Book(piece)).Expect(HttpStatusCode.Created);
        var plan = place.Firing + "/load-plan";
        if (loaded)
        {
            (await place.Move("fixed")).Expect(HttpStatusCode.OK);
            (await place.Load(piece)).Expect(HttpStatusCode.OK);
        }

        var before = (await place.Studio.Viewer.Get(plan + ".svg")).Expect(HttpStatusCode.OK).Text;
        (await place.Furnish("other", diameterMm: 300)).Expect(HttpStatusCode.OK);
        Assert.Equal(before, (await place.Studio.Viewer.Get(plan + ".svg")).Expect(HttpStatusCode.OK).Text);
        (await place.Studio.Viewer.Get(plan + ".pdf")).Expect(HttpStatusCode.OK);
        Assert.Equal("full", (await place.Studio.Viewer.Get(plan)).Expect(HttpStatusCode.OK).Body.GetProperty("plan")
            .GetProperty("shelves")[0].GetProperty("shelfId").GetString());
    }

    [Fact]
    public async Task The_people_are_told_by_an_event_where_a_plan_stands_no_more()
    {
        var place = await Place.Make(service);
        (await place.Book()).Expect(HttpStatusCode.Created);
        (await place.Furnish("other")).Expect(HttpStatusCode.OK);
        var told = $"select count(*) from outbox where studio_id = '{place.Studio.Id}' and kind = 'firings.furniture-changed'";
        for (var tries = 0; tries < 300 && await Count(told) == 0; tries++) await Task.Delay(100, TestContext.Current.CancellationToken);
        Assert.Equal(1, await Count(told));
    }

    /// <summary>
    /// Both orders are right: booked on the old shelves and then marked, or booked on the new ones. Never on shelves that are gone, unmarked.
    /// </summary>
    [Fact]
    public async Task Furniture_changed_while_a_booking_is_decided_never_leaves_it_on_shelves_that_are_gone()
    {
        var place = await Place.Make(service);
        for (var round = 0; round < Races.Tries; round++)
        {
            var firing = $"{place.Studio.Path}/firings/{await place.Studio.MakeFiring(place.Kiln, round * 11)}";
            var (piece, name) = (await place.Piece(), $"round {round}");
            var replies = await Races.AtOnce(
                () => place.Furnish(name), () => place.Studio.Potter.Post(firing + "/bookings", new { pieces = new[] { new { pieceId = piece } } }));
            replies[0].Expect(HttpStatusCode.OK);
            replies[1].Expect(HttpStatusCode.Created);
            Assert.Empty(await Invariants.Offences(service.Links));
            var plan = (await place.Studio.Viewer.Get(firing + "/load-plan")).Expect(HttpStatusCode.OK).Body;
            var onNew = plan.GetProperty("plan").GetProperty("shelves")[0].GetProperty("shelfId").GetString() == name;
            Assert.Equal(onNew, plan.GetProperty("furnitureChangedAt").ValueKind == System.Text.Json.JsonValueKind.Null);
            (await place.Studio.Viewer.Get(firing + "/load-plan.svg")).Expect(HttpStatusCode.OK);
        }
    }

    private Task<long> Count(string sql) => Asking.Number(service.Links.Admin, sql);
}
