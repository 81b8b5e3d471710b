using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>What is booked is not put away, and what is put away is not booked, also where both are asked at once.</summary>
public sealed class PuttingAwayTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task The_refusal_says_which_firing_in_which_kiln_and_when()
    {
        var place = await Place.Make(service);
        var piece = await place.Piece();
        (await place.Book(piece)).Expect(HttpStatusCode.Created);
        var refused = (await place.Studio.Potter.Delete($"{place.Studio.Path}/pieces/{piece}", "*")).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("pieces.booked", refused.Code);
        foreach (var words in new[] { "cylinder (C)", "glaze firing to cone 6", "Round top-loader", "(accepting)", "Withdraw" })
            Assert.Contains(words, refused.Text, StringComparison.Ordinal);
        refused = (await place.Studio.Technician.Delete($"{place.Studio.Path}/kilns/{place.Kiln}", "*")).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("kilns.has-firings", refused.Code);
        foreach (var words in new[] { "Round top-loader", "glaze firing to cone 6", "(accepting)" })
            Assert.Contains(words, refused.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Of_booking_a_piece_and_putting_it_away_at_once_one_is_refused()
    {
        var place = await Place.Make(service);
        for (var round = 0; round < Races.Tries; round++)
        {
            var piece = await place.Piece();
            var replies = await Races.AtOnce(() => place.Book(piece), () => place.Studio.Potter.Delete($"{place.Studio.Path}/pieces/{piece}", "*"));
            var (booked, away) = (replies[0].Status == HttpStatusCode.Created, replies[1].Status == HttpStatusCode.NoContent);
            Assert.True(booked != away, $"round {round}: {replies[0].Status} {replies[0].Text}, {replies[1].Status} {replies[1].Text}");
            Assert.True(booked || replies[0].Code is "bookings.no-such-piece" or "pieces.put-away", replies[0].Text);
            Assert.True(away || replies[1].Code == "pieces.booked", replies[1].Text);
            if (booked) (await place.Studio.Potter.Post($"{place.Firing}/bookings/{TestStudio.IdOf(replies[0])}/withdrawal")).Expect(HttpStatusCode.OK);
        }
    }

    [Fact]
    public async Task Of_planning_a_firing_and_putting_its_kiln_away_at_once_one_is_refused()
    {
        var studio = await service.MakeStudio();
        for (var round = 0; round < Races.Tries; round++)
        {
            var kiln = await studio.MakeKiln();
            var firing = new { kilnId = kiln, kind = "glaze", cone = "6", startsAt = "2047-05-03T07:00:00Z", firingHours = 11, coolingHours = 20 };
            var replies = await Races.AtOnce(
                () => studio.Technician.Post(studio.Path + "/firings", firing), () => studio.Technician.Delete($"{studio.Path}/kilns/{kiln}", "*"));
            var (planned, away) = (replies[0].Status == HttpStatusCode.Created, replies[1].Status == HttpStatusCode.NoContent);
            Assert.True(planned != away, $"round {round}: {replies[0].Status} {replies[0].Text}, {replies[1].Status} {replies[1].Text}");
            Assert.True(planned || replies[0].Code is "firings.no-such-kiln" or "kilns.put-away", replies[0].Text);
            Assert.True(away || replies[1].Code == "kilns.has-firings", replies[1].Text);
        }
    }

    [Fact]
    public async Task Of_booking_in_a_kiln_and_putting_it_away_at_once_the_booking_holds()
    {
        var place = await Place.Make(service);
        for (var round = 0; round < Races.Tries; round++)
        {
            var piece = await place.Piece();
            var replies = await Races.AtOnce(() => place.Book(piece), () => place.Studio.Technician.Delete($"{place.Studio.Path}/kilns/{place.Kiln}", "*"));
            replies[0].Expect(HttpStatusCode.Created);
            Assert.Equal("kilns.has-firings", replies[1].Expect(HttpStatusCode.UnprocessableEntity).Code);
        }
    }

    /// <summary>The walls stand without the handlers too.</summary>
    [Fact]
    public async Task The_database_itself_refuses_what_is_in_use()
    {
        var place = await Place.Make(service);
        (await place.Book()).Expect(HttpStatusCode.Created);
        var piece = await place.Piece();
        (await place.Studio.Potter.Delete($"{place.Studio.Path}/pieces/{piece}", "*")).Expect(HttpStatusCode.NoContent);
        foreach (var (sql, wall) in new[]
        {
            ($"update piece set archived_at = now() where studio_id = '{place.Studio.Id}'", "ck_piece_in_use"),
            ($"update kiln set archived_at = now() where studio_id = '{place.Studio.Id}'", "ck_kiln_in_use"),
            ($"insert into booked_copy (studio_id, booking_id, piece_id, copy, firing_id, step, is_room, frozen, state) select studio_id, booking_id, "
                + $"'{piece}', 0, firing_id, step, false, frozen, 'Waiting' from booked_copy where studio_id = '{place.Studio.Id}' limit 1",
                "ck_booked_copy_piece_here"),
        })
        {
            var refused = await Assert.ThrowsAsync<Npgsql.PostgresException>(() => VersionHistory.Run(service.Links.Admin, sql));
            Assert.Equal(wall, refused.ConstraintName);
        }
    }
}
