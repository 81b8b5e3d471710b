using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Edge;

/// <summary>Refusals name pieces, firings, kilns and times as people do; <see cref="PlainWords"/> looks at every one that any test is given.</summary>
public sealed class PlainWordsTests(Service service) : IClassFixture<Service>
{
    [Theory]
    [InlineData("The piece 0193a000-0000-7000-8000-000000000001 is booked.")]
    [InlineData("It was lit at 2026-01-12 08:00 UTC.")]
    [InlineData("It was lit at 2026-01-12T08:00:00Z.")]
    [InlineData("Book again with accepts: [bare-foot, level-out-of-range].")]
    [InlineData("The firing is UnderglazeSet.")]
    [InlineData("System.Collections.Generic.List`1[System.String]")]
    public void What_is_not_for_people_is_noticed(string detail) => Assert.NotNull(PlainWords.Fault(detail));

    [Theory]
    [InlineData("Round top-loader is kept for a glaze firing to cone 6 from Mon 12 Jan 2026, 08:00 to Tue 13 Jan 2026, 15:00.")]
    [InlineData("Takes an instant such as 2027-03-14T07:00:00Z.")]
    [InlineData("Readings 12–340: the temperature is no number. Leave such readings out.")]
    public void What_people_say_is_let_through(string detail) => Assert.Null(PlainWords.Fault(detail));

    // Europe/Berlin is an hour ahead of UTC in January (IANA time zone database). The firing in the way takes 31 hours from 08:00 UTC.
    [Fact]
    public async Task A_kiln_whose_time_is_taken_says_by_which_firing_and_when_it_is_free_for_as_long()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        async Task<Reply> Plan(string startsAt, int firingHours = 11) => await studio.Technician.Post(
            studio.Path + "/firings", new { kilnId = kiln, kind = "glaze", cone = "6", startsAt, firingHours, coolingHours = 20 });
        var first = TestStudio.IdOf(await Plan("2047-01-14T08:00:00Z"));
        TestStudio.IdOf(await Plan("2047-01-15T20:00:00Z"));
        var taken = (await Plan("2047-01-14T20:00:00Z")).Expect(HttpStatusCode.Conflict);
        Assert.Equal("kilns.time-taken", taken.Code);
        Assert.Equal(
            "Round top-loader is kept for a glaze firing to cone 6 from Mon 14 Jan 2047, 09:00 to Tue 15 Jan 2047, 16:00. "
                + "It is next free for 31 hours from Thu 17 Jan 2047, 04:00. Choose that start or another, or shorten one of the firings.",
            taken.Body.GetProperty("detail").GetString());
        Assert.Equal(first, taken.Body.GetProperty("values").GetProperty("firingId").GetGuid());
        var free = taken.Body.GetProperty("values").GetProperty("nextFreeAt").GetString()!;
        var moved = TestStudio.IdOf(await Plan(free));
        var again = (await studio.Technician.Patch($"{studio.Path}/firings/{moved}", new { startsAt = "2047-01-14T10:00:00Z" }, "*"))
            .Expect(HttpStatusCode.Conflict);
        Assert.StartsWith("Round top-loader is kept for a glaze firing to cone 6 from Mon 14 Jan 2047, 09:00", again.Body.GetProperty("detail")
            .GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Ware_that_is_booked_already_is_named_by_piece_and_mark_with_its_firing_kiln_and_day()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var piece = await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze());
        var body = new { pieces = new[] { new { pieceId = piece } } };
        (await studio.Potter.Post($"{studio.Path}/firings/{await studio.MakeFiring(kiln, 2)}/bookings", body)).Expect(HttpStatusCode.Created);
        var refused = (await studio.Potter.Post($"{studio.Path}/firings/{await studio.MakeFiring(kiln, 3)}/bookings", body)).Expect(HttpStatusCode.Conflict);
        Assert.Equal("pieces.already-booked", refused.Code);
        Assert.StartsWith(
            "Copy 1 of cylinder (C) is booked already for the glaze firing to cone 6 in Round top-loader, Sun 24 Mar 2047, 01:00. Withdraw that booking first",
            refused.Body.GetProperty("detail").GetString(), StringComparison.Ordinal);
    }
}
