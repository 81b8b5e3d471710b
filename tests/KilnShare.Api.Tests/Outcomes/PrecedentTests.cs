using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Outcomes;

/// <summary>What happened here before to ware like a piece that is still to be fired.</summary>
public sealed class PrecedentTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task The_nearest_ware_comes_first_with_what_differs_and_what_is_borrowed()
    {
        var fired = await FiredStudio.Open(service);
        var (three, two) = (await fired.Piece("A", coats: 3, quantity: 2, appliedBy: "brushed"), await fired.Piece("B", coats: 2));
        await fired.Judge(await fired.Fire([three, two]), crazed: "A");
        await fired.Judge(await fired.Fire([await fired.Piece("C", coats: 2)], cone: "5"));
        var next = await fired.Piece("N", coats: 3, appliedBy: "brushed");
        var answer = await Ask(fired, next);
        Assert.Equal(JsonValueKind.Null, answer.GetProperty("cone").ValueKind);
        // Where no firing is chosen cones are told and not held against each other.
        Assert.Equal(["", "2 coats instead of 3", "2 coats instead of 3"], UnlikesOf(answer));

        var firing = await fired.Studio.MakeFiring(fired.Kiln, turn: 50);
        (await fired.Studio.Potter.Post($"{fired.Studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = next } } }))
            .Expect(HttpStatusCode.Created);
        answer = await Ask(fired, next);
        Assert.Equal(("6", "oxidation"), (answer.GetProperty("cone").GetString(), answer.GetProperty("atmosphere").GetString()));
        var cases = answer.GetProperty("cases").EnumerateArray().ToList();
        Assert.Equal(["", "2 coats instead of 3", "cone 5 instead of 6, 2 coats instead of 3"], UnlikesOf(answer));
        Assert.Equal([1, 0.5, 0.25], cases.Select(c => c.GetProperty("weight").GetDouble()));
        Assert.Equal((1, 2), (cases[0].GetProperty("sound").GetProperty("seen").GetInt32(), cases[0].GetProperty("sound").GetProperty("pieces").GetInt32()));
        Assert.Equal(1, cases[0].GetProperty("defectRates").GetProperty("crazing").GetProperty("seen").GetInt32());
        var ware = cases[1].GetProperty("pieces")[0];
        Assert.Equal((two, "cylinder", "B", "good"), (ware.GetProperty("pieceId").GetGuid(), ware.GetProperty("name").GetString(), ware.GetProperty("mark")
            .GetString(), ware.GetProperty("grade").GetString()));
        var expected = answer.GetProperty("expected");
        Assert.Equal((1, 1), (expected.GetProperty("ownFirings").GetInt32(), expected.GetProperty("borrowedFirings").GetInt32()));
        Assert.True(expected.TryGetProperty("range", out _));
        Assert.StartsWith("Of this very recipe 1 of 2 came out sound, in one firing. One firing of ware that is less like it is borrowed, and counts for less.",
            expected.GetProperty("sentence").GetString(), StringComparison.Ordinal);

        // Another firing is asked about by name.
        var cooler = await fired.Studio.MakeFiring(fired.Kiln, turn: 52, cone: "5");
        Assert.Equal("cone 6 instead of 5", (await Ask(fired, next, $"?firingId={cooler}")).GetProperty("cases")[0].GetProperty("unlike")[0].GetString());
    }

    [Fact]
    public async Task Ware_that_is_still_to_be_bisqued_is_asked_about_by_the_firing_of_its_glaze()
    {
        var fired = await FiredStudio.Open(service);
        await fired.Judge(await fired.Fire([await fired.Piece("A")]));
        var green = TestStudio.IdOf(await fired.Studio.Potter.Post(fired.Studio.Path + "/pieces", new
        {
            name = "bird",
            footprint = TestStudio.Circle(60),
            heightMm = 80,
            clayId = fired.Clay,
            layers = new[] { new { glazeId = fired.Glaze, coats = 2, goesOnBefore = "glaze" } },
            stage = "greenware",
        }));
        var answer = await Ask(fired, green);
        Assert.Equal([""], UnlikesOf(answer));
        Assert.Equal(1, answer.GetProperty("expected").GetProperty("ownFirings").GetInt32());
    }

    [Fact]
    public async Task What_cannot_be_answered_is_refused_by_the_name_of_the_piece()
    {
        var fired = await FiredStudio.Open(service);
        var done = await fired.Piece("A");
        await fired.Fire([done]);
        var path = $"{fired.Studio.Path}/pieces/";
        var refused = (await fired.Studio.Viewer.Get($"{path}{done}/precedents")).Expect(HttpStatusCode.Conflict);
        Assert.Equal("outcomes.no-firing-to-come", refused.Code);
        Assert.Contains("cylinder (A)", refused.Text, StringComparison.Ordinal);
        var next = await fired.Piece("N");
        Assert.Equal("outcomes.no-such-copy", (await fired.Studio.Viewer.Get($"{path}{next}/precedents?copy=3"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("outcomes.no-such-firing", (await fired.Studio.Viewer.Get($"{path}{next}/precedents?firingId={next}"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        var bisque = TestStudio.IdOf(await fired.Studio.Technician.Post(fired.Studio.Path + "/firings",
            new { kilnId = fired.Kiln, kind = "bisque", cone = "06", startsAt = "2048-01-01T06:00:00Z", firingHours = 10, coolingHours = 12 }));
        Assert.Equal("outcomes.not-on-its-way", (await fired.Studio.Viewer.Get($"{path}{next}/precedents?firingId={bisque}"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        (await fired.Studio.Viewer.Get($"{path}{fired.Clay}/precedents")).Expect(HttpStatusCode.NotFound);
        var empty = await Ask(fired, next);
        Assert.Equal("Nothing like it has been fired here yet. Fire a test first.", empty.GetProperty("expected").GetProperty("sentence").GetString());
    }

    private static IEnumerable<string> UnlikesOf(JsonElement answer) => answer.GetProperty("cases").EnumerateArray()
        .Select(c => string.Join(", ", c.GetProperty("unlike").EnumerateArray().Select(u => u.GetString())));

    private static async Task<JsonElement> Ask(FiredStudio fired, Guid piece, string query = "") =>
        (await fired.Studio.Viewer.Get($"{fired.Studio.Path}/pieces/{piece}/precedents{query}")).Expect(HttpStatusCode.OK).Body;
}
