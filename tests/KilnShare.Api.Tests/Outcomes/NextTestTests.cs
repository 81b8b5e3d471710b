using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Outcomes;

/// <summary>Which test pieces teach most, by what the studio has seen.</summary>
public sealed class NextTestTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Pieces_go_where_least_is_known_with_a_reason_and_spread_over_firings_and_levels()
    {
        var fired = await FiredStudio.Open(service);
        for (var i = 0; i < 2; i++) await fired.Judge(await fired.Fire([await fired.Piece($"A{i}", coats: 2, quantity: 6)]), crazed: i == 0 ? "A0" : null);
        var body = new
        {
            clayId = fired.Clay,
            candidates = new[] { new { glazeId = fired.Glaze, coats = 2 }, new { glazeId = fired.Glaze, coats = 3 } },
            without = "crazing",
            cone = "6",
            pieces = 8,
            seed = 4
        };
        var answer = await Ask(fired, body);
        var choices = answer.GetProperty("choices").EnumerateArray().ToList();
        Assert.Equal(8, choices.Sum(c => c.GetProperty("pieces").GetInt32()));
        Assert.True(choices[1].GetProperty("pieces").GetInt32() > choices[0].GetProperty("pieces").GetInt32());
        Assert.Equal((1, 12),
            (choices[0].GetProperty("known").GetProperty("seen").GetInt32(), choices[0].GetProperty("known").GetProperty("pieces").GetInt32()));
        Assert.Equal(JsonValueKind.Null, choices[1].GetProperty("known").ValueKind);
        Assert.Equal("Nothing is known of 3 coats of quiet white on this clay yet.", choices[1].GetProperty("reason").GetString());
        var places = answer.GetProperty("places").EnumerateArray().ToList();
        Assert.Equal([4, 4], places.GroupBy(p => p.GetProperty("firing").GetInt32()).Select(f => f.Count()));
        Assert.Equal([0, 1, 2], places.Select(p => p.GetProperty("level").GetInt32()).Distinct().Order());
        Assert.Equal(answer.ToString(), (await Ask(fired, body)).ToString());
        // At another cone nothing is known of either.
        Assert.All((await Ask(fired, new { clayId = fired.Clay, body.candidates, cone = "5", pieces = 8 })).GetProperty("choices").EnumerateArray(), c =>
            Assert.Equal((4, JsonValueKind.Null), (c.GetProperty("pieces").GetInt32(), c.GetProperty("known").ValueKind)));
        Assert.StartsWith("One firing may be an odd one", (await Ask(fired, new { clayId = fired.Clay, body.candidates, pieces = 2, firings = 1 }))
            .GetProperty("sentence").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_cannot_be_chosen_between_is_refused()
    {
        var fired = await FiredStudio.Open(service);
        var white = new { glazeId = fired.Glaze, coats = 2 };
        async Task Refused(object body, HttpStatusCode status, string code) =>
            Assert.Equal(code, (await fired.Studio.Potter.Post(fired.Studio.Path + "/next-tests", body)).Expect(status).Code);
        await Refused(new { clayId = fired.Clay, candidates = new[] { white }, pieces = 4 }, HttpStatusCode.BadRequest, "outcomes.candidates");
        await Refused(new { clayId = fired.Clay, candidates = new[] { white, white }, pieces = 4 }, HttpStatusCode.BadRequest, "outcomes.candidates");
        await Refused(new { clayId = fired.Clay, candidates = new[] { white, white with { coats = 99 } }, pieces = 4 }, HttpStatusCode.BadRequest,
            "request.out-of-range");
        await Refused(new { clayId = fired.Glaze, candidates = new[] { white, white with { coats = 3 } }, pieces = 4 }, HttpStatusCode.UnprocessableEntity,
            "outcomes.no-such-clay");
        await Refused(new { clayId = fired.Clay, candidates = new[] { white, white with { glazeId = fired.Clay } }, pieces = 4 },
            HttpStatusCode.UnprocessableEntity, "outcomes.no-such-glaze");
        (await fired.Studio.Viewer.Post(fired.Studio.Path + "/next-tests",
            new { clayId = fired.Clay, candidates = new[] { white, white with { coats = 3 } }, pieces = 4 })).Expect(HttpStatusCode.Forbidden);
        var own = TestStudio.IdOf(
            await fired.Studio.OtherPotter.Post(fired.Studio.Path + "/glazes", new { name = "from home", cones = new { from = "5", to = "6" } }));
        await Refused(new { clayId = fired.Clay, candidates = new[] { white, white with { glazeId = own } }, pieces = 4 }, HttpStatusCode.UnprocessableEntity,
            "outcomes.no-such-glaze");
    }

    private static async Task<JsonElement> Ask(FiredStudio fired, object body) =>
        (await fired.Studio.Potter.Post(fired.Studio.Path + "/next-tests", body)).Expect(HttpStatusCode.OK).Body;
}
