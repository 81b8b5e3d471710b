using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>What the rules ask a member and a technician, and how their yes is read again.</summary>
public sealed class AcceptingRulesTests(Service service) : IClassFixture<Service>
{
    private const string Fit = "glaze-body-expansion";

    /// <summary>Chromium's vapour turns tin whites pink.</summary>
    private const string Pink = "chromium-and-tin";

    [Fact]
    public async Task Without_the_members_yes_a_booking_that_needs_a_technician_too_is_refused_and_writes_nothing()
    {
        var (studio, path, piece) = await Doubtful();
        var refused = (await studio.Potter.Post(path, new { pieces = new[] { new { pieceId = piece } }, mayWait = true }))
            .Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("cofiring.needs-accepts", refused.Code);
        Assert.Contains("tray (T9)", refused.Text, StringComparison.Ordinal);
        Assert.Equal([Fit], refused.Body.GetProperty("values").GetProperty("rules").EnumerateArray().Select(r => r.GetString()));
        Assert.Empty((await studio.Viewer.Get(path)).Body.GetProperty("items").EnumerateArray());
        var waits = await Book(studio, path, piece);
        Assert.Equal("technician", waits.GetProperty("waitsFor").GetString());
    }

    [Fact]
    public async Task What_a_member_accepts_while_the_booking_waits_lets_a_technician_say_yes()
    {
        var (studio, path, piece) = await Doubtful();
        var booking = $"{path}/{(await Book(studio, path, piece)).GetProperty("id").GetGuid()}";
        // As a booking of the first release stands there: it waits, and nothing was accepted.
        await VersionHistory.Run(service.Links.Admin, "update booking set accepts = '{}' where id = '" + booking.Split('/')[^1] + "'");
        Assert.Equal("cofiring.needs-accepts", (await Approve(studio, booking)).Expect(HttpStatusCode.UnprocessableEntity).Code);
        var now = (await studio.Potter.Get(booking + "/findings")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal([Fit], now.GetProperty("missingAccepts").EnumerateArray().Select(r => r.GetString()));
        Assert.True(now.GetProperty("needsTechnician").GetBoolean());
        Assert.NotEmpty(now.GetProperty("findings").EnumerateArray());

        Assert.Equal("access.not-yours", (await studio.OtherPotter.Post(booking + "/accepts", new { accepts = new[] { Fit } }))
            .Expect(HttpStatusCode.Forbidden).Code);
        Assert.Equal("bookings.no-such-rule", (await studio.Potter.Post(booking + "/accepts", new { accepts = new[] { "no-such-rule" } }))
            .Expect(HttpStatusCode.BadRequest).Code);
        var accepted = (await studio.Potter.Post(booking + "/accepts", new { accepts = new[] { Fit } })).Expect(HttpStatusCode.OK).Body;
        Assert.Equal([Fit], accepted.GetProperty("accepts").EnumerateArray().Select(r => r.GetString()));
        Assert.Empty((await studio.Potter.Get(booking + "/findings")).Body.GetProperty("missingAccepts").EnumerateArray());

        (await Approve(studio, booking)).Expect(HttpStatusCode.OK);
        var approval = (await studio.Viewer.Get(booking)).Expect(HttpStatusCode.OK).Body.GetProperty("approval");
        Assert.Equal("Tilo", approval.GetProperty("name").GetString());
        Assert.Equal("I fired this last month.", approval.GetProperty("reason").GetString());
        Assert.NotEqual(Guid.Empty, approval.GetProperty("memberId").GetGuid());
        Assert.True(approval.GetProperty("at").GetDateTimeOffset() > DateTimeOffset.UnixEpoch);
        Assert.False((await studio.Viewer.Get(booking + "/findings")).Body.GetProperty("needsTechnician").GetBoolean());
        Assert.Equal("bookings.not-waiting", (await studio.Potter.Post(booking + "/accepts", new { accepts = new[] { Fit } }))
            .Expect(HttpStatusCode.Conflict).Code);
    }

    [Fact]
    public async Task The_findings_on_a_booking_are_those_of_now()
    {
        var (studio, path, piece) = await Doubtful();
        var booking = $"{path}/{(await Book(studio, path, piece)).GetProperty("id").GetGuid()}";
        Assert.DoesNotContain(Pink, await RulesOf(studio, booking), StringComparison.Ordinal);
        var other = await studio.MakePiece(studio.OtherPotter, await studio.MakeClay(), await GreenGlaze(studio));
        (await studio.OtherPotter.Post(path, new { pieces = new[] { new { pieceId = other } }, accepts = new[] { Pink } })).Expect(HttpStatusCode.Created);
        Assert.Contains(Pink, await RulesOf(studio, booking), StringComparison.Ordinal);
        (await studio.Potter.Post(booking + "/withdrawal")).Expect(HttpStatusCode.OK);
        Assert.Equal("bookings.is-withdrawn", (await studio.Viewer.Get(booking + "/findings")).Expect(HttpStatusCode.Conflict).Code);
    }

    // A row of the first release has a reason and nobody who gave it: the answer says what is known.
    [Fact]
    public async Task A_yes_of_which_nobody_knows_who_said_it_is_read_as_such()
    {
        var (studio, path, piece) = await Doubtful();
        var booking = $"{path}/{(await Book(studio, path, piece)).GetProperty("id").GetGuid()}";
        (await Approve(studio, booking)).Expect(HttpStatusCode.OK);
        await VersionHistory.Run(service.Links.Admin, "update booking set approved_by = null, approved_at = null where id = '" + booking.Split('/')[^1] + "'");
        var approval = (await studio.Viewer.Get(booking)).Expect(HttpStatusCode.OK).Body.GetProperty("approval");
        Assert.Equal("I fired this last month.", approval.GetProperty("reason").GetString());
        foreach (var unknown in new[] { "memberId", "name", "at" }) Assert.Equal(JsonValueKind.Null, approval.GetProperty(unknown).ValueKind);
    }

    private static async Task<string> RulesOf(TestStudio studio, string booking) => string.Join(
        ", ", (await studio.Viewer.Get(booking + "/findings")).Expect(HttpStatusCode.OK).Body.GetProperty("findings").EnumerateArray()
            .Select(f => f.GetProperty("rule").GetString()));

    private static async Task<JsonElement> Book(TestStudio studio, string path, Guid piece) =>
        (await studio.Potter.Post(path, new { pieces = new[] { new { pieceId = piece } }, accepts = new[] { Fit } })).Expect(HttpStatusCode.Created).Body;

    private static Task<Reply> Approve(TestStudio studio, string booking) =>
        studio.Technician.Post(booking + "/approval", new { reason = "I fired this last month." });

    private static async Task<Guid> GreenGlaze(TestStudio studio) => TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/glazes", new
    {
        name = "leaf green",
        cones = new { from = "5", to = "6" },
        movement = "stable",
        atmospheres = new[] { "oxidation" },
        expansionPpmPerC = 6.2,
        expansionMethod = "dilatometer",
        contains = new[] { new { what = "chromium", percent = 2 } },
    }));

    /// <summary>A piece whose glaze will craze (its member's business), and of which nobody knows how it moves (everybody's).</summary>
    private async Task<(TestStudio Studio, string Path, Guid Piece)> Doubtful()
    {
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        var glaze = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/glazes", new
        {
            name = "jar without a label",
            cones = new { from = "5", to = "6" },
            atmospheres = new[] { "oxidation" },
            expansionPpmPerC = 7.4,
            expansionMethod = "dilatometer",
            contains = new[] { new { what = "tin", percent = 6 } },
        }));
        var piece = TestStudio.IdOf(await studio.Potter.Post(studio.Path + "/pieces", new
        {
            name = "tray",
            mark = "T9",
            footprint = TestStudio.Circle(120),
            heightMm = 40,
            clayId = await studio.MakeClay(),
            layers = new[] { new { glazeId = glaze, coats = 1 } },
            stage = "bisque",
            bisquedAt = "04",
        }));
        return (studio, $"{studio.Path}/firings/{firing}/bookings", piece);
    }
}
