using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Studios;

/// <summary>A member leaves: never silently past money or ware, and never past what is on the books.</summary>
public sealed class LeavingTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Money_and_ware_are_told_first_and_stay_on_the_books()
    {
        var place = await Bookings.Place.Make(service);
        var studio = place.Studio;
        var piece = await place.Piece();
        var booking = TestStudio.IdOf(await place.Book(piece));
        (await studio.Owner.Post(studio.Path + "/payments", new { memberId = studio.PotterId, kind = "charge", amountMinor = 1230, reason = "a bag of clay" }))
            .Expect(HttpStatusCode.Created);
        var path = $"{studio.Path}/members/{studio.PotterId}";
        var refused = (await studio.Owner.Delete(path, "*")).Expect(HttpStatusCode.Conflict);
        Assert.Equal("studios.member-leaves-things", refused.Code);
        foreach (var words in new[] { "Mira", "owes the studio 12.30 EUR", "cylinder (C)", "leaving=keep" })
            Assert.Contains(words, refused.Text, StringComparison.Ordinal);
        var values = refused.Body.GetProperty("values");
        Assert.Equal((1230, "EUR"), (values.GetProperty("balanceMinor").GetInt64(), values.GetProperty("currency").GetString()));
        Assert.Equal(piece, values.GetProperty("pieces")[0].GetProperty("pieceId").GetGuid());
        Assert.Equal(booking, values.GetProperty("bookings")[0].GetProperty("bookingId").GetGuid());
        (await studio.Potter.Get(studio.Path)).Expect(HttpStatusCode.OK);
        (await studio.Owner.Delete(path + "?leaving=take", "*")).Expect(HttpStatusCode.BadRequest);

        (await studio.Owner.Delete(path + "?leaving=keep", "*")).Expect(HttpStatusCode.NoContent);
        (await studio.Potter.Get(studio.Path)).Expect(HttpStatusCode.Unauthorized);
        var accounts = (await studio.Technician.Get(studio.Path + "/accounts")).Expect(HttpStatusCode.OK).Body.GetProperty("items").EnumerateArray();
        Assert.Equal(1230, accounts.Single(a => a.GetProperty("memberId").ValueKind != System.Text.Json.JsonValueKind.Null
            && a.GetProperty("memberId").GetGuid() == studio.PotterId).GetProperty("balanceMinor").GetInt64());
        var year = DateTimeOffset.UtcNow.Year;
        foreach (var reader in new[] { studio.Owner, studio.Technician })
            Assert.Equal(1230, (await reader.Get($"{studio.Path}/accounts/{studio.PotterId}/statement?from={year - 1}-01-01&to={year + 2}-01-01"))
                .Expect(HttpStatusCode.OK).Body.GetProperty("closingMinor").GetInt64());

        // The ware is there and booked, and goes through its firing.
        (await studio.Viewer.Get($"{studio.Path}/pieces/{piece}")).Expect(HttpStatusCode.OK);
        Assert.Equal("confirmed", (await studio.Viewer.Get($"{place.Firing}/bookings/{booking}")).Body.GetProperty("state").GetString());
        (await place.Move("fixed")).Expect(HttpStatusCode.OK);
        (await place.Load(piece)).Expect(HttpStatusCode.OK);
    }

    [Fact]
    public async Task A_technician_takes_back_what_one_who_left_has_booked()
    {
        var place = await Bookings.Place.Make(service);
        var booking = TestStudio.IdOf(await place.Book());
        (await place.Studio.Owner.Delete($"{place.Studio.Path}/members/{place.Studio.PotterId}?leaving=keep", "*")).Expect(HttpStatusCode.NoContent);
        (await place.Studio.Technician.Post($"{place.Firing}/bookings/{booking}/withdrawal")).Expect(HttpStatusCode.OK);
    }

    [Fact]
    public async Task Who_leaves_nothing_behind_simply_leaves_and_what_was_collected_is_not_here()
    {
        var place = await Bookings.Place.Make(service);
        var piece = await place.Piece();
        var path = $"{place.Studio.Path}/members/{place.Studio.PotterId}";
        Assert.Equal("studios.member-leaves-things", (await place.Studio.Owner.Delete(path, "*")).Expect(HttpStatusCode.Conflict).Code);
        (await place.Studio.Potter.Post($"{place.Studio.Path}/pieces/{piece}/custody", new { kind = "collected" })).Expect(HttpStatusCode.Created);
        (await place.Studio.Owner.Delete(path, "*")).Expect(HttpStatusCode.NoContent);
    }
}
