using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Outcomes;

/// <summary>A whole load, written down as planned and then noted in one request.</summary>
public sealed class FiringOutcomesTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task All_that_was_looked_at_came_out_well_except_what_is_named_and_what_nobody_saw_is_not_judged()
    {
        var load = await MugLoad.Unload(service);
        var answer = (await load.Studio.Technician.Post(load.Firing + "/outcomes", new
        {
            others = "good",
            except = new object[] { new { mark = "X", copies = new[] { 1 }, grade = "poor", defects = new[] { "running" }, note = "ran off the foot" } },
            notSeen = new object[] { new { pieceId = load.Other } },
        })).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(3, answer.GetProperty("written").GetInt32());

        var told = await load.Outcomes();
        Assert.Equal(["0 good", "1 poor", "2 good"], told.Where(o => o.Piece == load.Mine).Select(o => $"{o.Copy} {o.Grade}").Order(StringComparer.Ordinal));
        Assert.DoesNotContain(told, o => o.Piece == load.Other);

        // What was judged stays; the rest is added later.
        var later = (await load.Studio.Technician.Post(load.Firing + "/outcomes", new { others = "fair" })).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(1, later.GetProperty("written").GetInt32());
        Assert.Equal(["good", "poor", "good", "fair"], (await load.Outcomes()).OrderBy(o => o.Piece == load.Other).ThenBy(o => o.Copy).Select(o => o.Grade));
    }

    [Fact]
    public async Task A_potter_writes_for_their_own_ware_only()
    {
        var load = await MugLoad.Unload(service);
        Assert.Equal(3, (await load.Studio.Potter.Post(load.Firing + "/outcomes", new { others = "good" }))
            .Expect(HttpStatusCode.OK).Body.GetProperty("written").GetInt32());
        var refused = (await load.Studio.Potter.Post(
            load.Firing + "/outcomes", new { others = "good", except = new object[] { new { pieceId = load.Other, grade = "lost" } } }))
            .Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("outcomes.was-not-in", refused.Code);
        (await load.Studio.Viewer.Post(load.Firing + "/outcomes", new { others = "good" })).Expect(HttpStatusCode.Forbidden);
    }

    [Fact]
    public async Task What_is_named_wrongly_is_refused_and_nothing_is_written()
    {
        var load = await MugLoad.Unload(service);
        foreach (var (body, status, code) in new (object, HttpStatusCode, string)[]
        {
            (new { others = "good", except = new object[] { new { mark = "no such", grade = "poor" } } }, HttpStatusCode.UnprocessableEntity,
                "outcomes.was-not-in"),
            (new { others = "good", except = new object[] { new { mark = "X", copies = new[] { 7 }, grade = "poor" } } }, HttpStatusCode.UnprocessableEntity,
                "outcomes.was-not-in"),
            (new { others = "good", except = new object[] { new { mark = "X", grade = "poor" },
                new { pieceId = load.Mine, copies = new[] { 0 }, grade = "fair" } } }, HttpStatusCode.UnprocessableEntity, "outcomes.copy-twice"),
            (new { others = "good", except = new object[] { new { grade = "poor" } } }, HttpStatusCode.BadRequest, "request.one-of"),
            (new { others = "good", except = new object[] { new { mark = "X", pieceId = load.Mine, grade = "poor" } } }, HttpStatusCode.BadRequest,
                "request.one-of"),
        })
        {
            Assert.Equal(code, (await load.Studio.Technician.Post(load.Firing + "/outcomes", body)).Expect(status).Code);
        }

        Assert.Empty(await load.Outcomes());
    }

    [Fact]
    public async Task Ware_is_named_by_its_place_on_the_load_sheet()
    {
        var load = await MugLoad.Unload(service);
        var plan = (await load.Studio.Technician.Get(load.Firing + "/load-plan")).Expect(HttpStatusCode.OK).Body.GetProperty("plan");
        var shelf = plan.GetProperty("shelves").EnumerateArray().Single(s => s.GetProperty("placements").GetArrayLength() > 0);
        // The order of hands, worked out anew: from the back to the front, rows of 50 mm, each from the left.
        var back = shelf.GetProperty("placements").EnumerateArray().Max(p => p.GetProperty("yMm").GetDouble());
        var first = shelf.GetProperty("placements").EnumerateArray().Where(p => back - p.GetProperty("yMm").GetDouble() <= 50)
            .MinBy(p => p.GetProperty("xMm").GetDouble());
        var (index, piece, copy) = (shelf.GetProperty("index").GetInt32(), first.GetProperty("pieceId")
            .GetString()!, first.GetProperty("copies")[0].GetInt32());

        (await load.Studio.Technician.Post(load.Firing + "/outcomes", new
        {
            others = "good",
            except = new object[] { new { place = new { shelf = index + 1, number = 1 }, grade = "poor",
                defectDetails = new[] { new { defect = "crawling", extent = "clear", where = "rim" } } } },
        })).Expect(HttpStatusCode.OK);
        var poor = Assert.Single(await load.Outcomes(), o => o.Grade == "poor");
        Assert.Contains(poor.Piece.ToString(), piece, StringComparison.Ordinal);
        Assert.Equal(copy, poor.Copy);

        var nowhere = (await load.Studio.Technician.Post(load.Firing + "/outcomes",
            new { others = "good", except = new object[] { new { place = new { shelf = index + 1, number = 99 }, grade = "poor" } } }))
            .Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("outcomes.was-not-in", nowhere.Code);
        Assert.Contains("No. 99 of shelf", nowhere.Text, StringComparison.Ordinal);
        var both = await load.Studio.Technician.Post(load.Firing + "/outcomes",
            new { others = "good", except = new object[] { new { mark = "X", place = new { shelf = 1, number = 1 }, grade = "poor" } } });
        Assert.Equal("request.one-of", both.Expect(HttpStatusCode.BadRequest).Code);
    }

    [Fact]
    public async Task A_mark_under_two_pieces_is_not_guessed_at()
    {
        var load = await MugLoad.Unload(service, otherMark: "X");
        var refused = (await load.Studio.Technician.Post(
            load.Firing + "/outcomes", new { others = "good", except = new object[] { new { mark = "X", grade = "poor" } } }))
            .Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("outcomes.mark-twice", refused.Code);
        Assert.Contains("test bowl", refused.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_kiln_that_is_not_unloaded_has_no_outcomes()
    {
        var load = await MugLoad.Make(service);
        Assert.Equal("outcomes.not-unloaded", (await load.Studio.Technician.Post(load.Firing + "/outcomes", new { others = "good" }))
            .Expect(HttpStatusCode.Conflict).Code);
    }

    [Fact]
    public async Task What_was_booked_went_in_as_planned_except_what_stayed_behind()
    {
        var load = await MugLoad.Make(service, asPlanned: false);
        Assert.Equal("bookings.copies-unaccounted", (await load.Studio.Technician.Put(load.Firing + "/load", new { }))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        var answer = (await load.Studio.Technician.Put(
            load.Firing + "/load", new { asPlanned = true, leftBehind = new[] { new { pieceId = load.Mine, copies = new[] { 2 }, reason = "cracked" } } }))
            .Expect(HttpStatusCode.OK).Body.GetProperty("items");
        Assert.Equal(4, answer.GetArrayLength());
        Assert.Equal(1, answer.EnumerateArray().Count(i => i.GetProperty("fate").GetString() == "leftBehind"));
        Assert.All(answer.EnumerateArray().Where(i => i.GetProperty("fate").GetString() == "placed"), i => Assert.Equal(0, i.GetProperty("shelf").GetInt32()));
    }
}
