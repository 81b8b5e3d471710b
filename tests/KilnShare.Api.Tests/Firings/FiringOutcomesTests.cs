using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Firings;

/// <summary>A whole load, written down as planned and then noted in one request.</summary>
public sealed class FiringOutcomesTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task All_that_was_looked_at_came_out_well_except_what_is_named_and_what_nobody_saw_is_not_judged()
    {
        var load = await Load.Unload(service);
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
        var load = await Load.Unload(service);
        Assert.Equal(3, (await load.Studio.Potter.Post(load.Firing + "/outcomes", new { others = "good" })).Expect(HttpStatusCode.OK).Body.GetProperty("written").GetInt32());
        var refused = (await load.Studio.Potter.Post(load.Firing + "/outcomes", new { others = "good", except = new object[] { new { pieceId = load.Other, grade = "lost" } } }))
            .Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("outcomes.was-not-in", refused.Code);
        (await load.Studio.Viewer.Post(load.Firing + "/outcomes", new { others = "good" })).Expect(HttpStatusCode.Forbidden);
    }

    [Fact]
    public async Task What_is_named_wrongly_is_refused_and_nothing_is_written()
    {
        var load = await Load.Unload(service);
        foreach (var (body, status, code) in new (object, HttpStatusCode, string)[]
        {
            (new { others = "good", except = new object[] { new { mark = "no such", grade = "poor" } } }, HttpStatusCode.UnprocessableEntity, "outcomes.was-not-in"),
            (new { others = "good", except = new object[] { new { mark = "X", copies = new[] { 7 }, grade = "poor" } } }, HttpStatusCode.UnprocessableEntity, "outcomes.was-not-in"),
            (new { others = "good", except = new object[] { new { mark = "X", grade = "poor" }, new { pieceId = load.Mine, copies = new[] { 0 }, grade = "fair" } } }, HttpStatusCode.UnprocessableEntity, "outcomes.copy-twice"),
            (new { others = "good", except = new object[] { new { grade = "poor" } } }, HttpStatusCode.BadRequest, "request.one-of"),
            (new { others = "good", except = new object[] { new { mark = "X", pieceId = load.Mine, grade = "poor" } } }, HttpStatusCode.BadRequest, "request.one-of"),
        })
        {
            Assert.Equal(code, (await load.Studio.Technician.Post(load.Firing + "/outcomes", body)).Expect(status).Code);
        }

        Assert.Empty(await load.Outcomes());
    }

    [Fact]
    public async Task A_mark_under_two_pieces_is_not_guessed_at()
    {
        var load = await Load.Unload(service, otherMark: "X");
        var refused = (await load.Studio.Technician.Post(load.Firing + "/outcomes", new { others = "good", except = new object[] { new { mark = "X", grade = "poor" } } }))
            .Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("outcomes.mark-twice", refused.Code);
        Assert.Contains("test bowl", refused.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_kiln_that_is_not_unloaded_has_no_outcomes()
    {
        var load = await Load.Make(service);
        Assert.Equal("outcomes.not-unloaded", (await load.Studio.Technician.Post(load.Firing + "/outcomes", new { others = "good" })).Expect(HttpStatusCode.Conflict).Code);
    }

    [Fact]
    public async Task What_was_booked_went_in_as_planned_except_what_stayed_behind()
    {
        var load = await Load.Make(service, asPlanned: false);
        Assert.Equal("bookings.copies-unaccounted", (await load.Studio.Technician.Put(load.Firing + "/load", new { })).Expect(HttpStatusCode.UnprocessableEntity).Code);
        var answer = (await load.Studio.Technician.Put(load.Firing + "/load", new { asPlanned = true, leftBehind = new[] { new { pieceId = load.Mine, copies = new[] { 2 }, reason = "cracked" } } }))
            .Expect(HttpStatusCode.OK).Body.GetProperty("items");
        Assert.Equal(4, answer.GetArrayLength());
        Assert.Equal(1, answer.EnumerateArray().Count(i => i.GetProperty("fate").GetString() == "leftBehind"));
        Assert.All(answer.EnumerateArray().Where(i => i.GetProperty("fate").GetString() == "placed"), i => Assert.Equal(0, i.GetProperty("shelf").GetInt32()));
    }

    /// <summary>Three mugs of one potter and a bowl of another in one firing.</summary>
    private sealed record Load(TestStudio Studio, string Firing, Guid Mine, Guid Other)
    {
        public static async Task<Load> Make(Service service, string otherMark = "O", bool asPlanned = true)
        {
            var studio = await service.MakeStudio();
            var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
            var firing = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln())}";
            var load = new Load(studio, firing, await Piece(studio.Potter, "test mug", "X", 3), await Piece(studio.OtherPotter, "test bowl", otherMark, 1));
            foreach (var (who, piece) in new[] { (studio.Potter, load.Mine), (studio.OtherPotter, load.Other) })
                (await who.Post(firing + "/bookings", new { pieces = new[] { new { pieceId = piece } } })).Expect(HttpStatusCode.Created);
            (await studio.Technician.Put(firing + "/state", new { state = "fixed" })).Expect(HttpStatusCode.OK);
            if (asPlanned) (await studio.Technician.Put(firing + "/load", new { asPlanned })).Expect(HttpStatusCode.OK);
            return load;

            async Task<Guid> Piece(Caller potter, string name, string mark, int quantity) => TestStudio.IdOf(await potter.Post(studio.Path + "/pieces", new
            {
                name,
                mark,
                quantity,
                footprint = TestStudio.Circle(90),
                heightMm = 100,
                clayId = clay,
                layers = new[] { new { glazeId = glaze, coats = 2 } },
                stage = "bisque",
                bisquedAt = "04",
                bareFootMm = 6,
            }));
        }

        public static async Task<Load> Unload(Service service, string otherMark = "O")
        {
            var load = await Make(service, otherMark);
            (await load.Studio.Technician.Put(load.Firing + "/state", new { state = "heating", answeredBy = "Tilo" })).Expect(HttpStatusCode.OK);
            (await load.Studio.Technician.Put(load.Firing + "/state", new { state = "cooling" })).Expect(HttpStatusCode.OK);
            (await load.Studio.Technician.Put(load.Firing + "/state", new { state = "unloaded", outcome = "sound" })).Expect(HttpStatusCode.OK);
            return load;
        }

        public async Task<IReadOnlyList<(Guid Piece, int Copy, string Grade)>> Outcomes() =>
            [.. (await Studio.Technician.Get($"{Studio.Path}/outcomes?firingId={Firing.Split('/')[^1]}")).Expect(HttpStatusCode.OK).Body.GetProperty("items").EnumerateArray()
                .Select(o => (o.GetProperty("pieceId").GetGuid(), o.GetProperty("copy").GetInt32(), o.GetProperty("grade").GetString()!))];
    }
}
