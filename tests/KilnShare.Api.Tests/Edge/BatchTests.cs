using System.Net;
using System.Text.Json;
using KilnShare.Api.Common;
using KilnShare.Api.Studios;
using KilnShare.Api.Tests.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;

namespace KilnShare.Api.Tests.Edge;

/// <summary>Many lines at once: each is answered as it would be by itself, and a refused one leaves nothing behind.</summary>
public sealed class BatchTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Each_list_takes_a_batch_and_each_line_becomes_what_the_single_call_makes()
    {
        var studio = await service.MakeStudio();
        var clay = await studio.MakeClay();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        foreach (var (list, lines) in new (string, object[])[]
        {
            ("members", [new { name = "Ava", role = "potter" }, new { name = "Ben", role = "viewer" }]),
            ("clays", [Material("red clay"), Material("white clay")]),
            ("glazes", [Material("tin white"), Material("iron black")]),
            ("pieces", [Bowl(clay, "A"), Bowl(clay, "B")]),
            ($"firings/{firing}/meter-readings", [Reading(7, 4000), Reading(19, 4030.5m)]),
        })
        {
            var before = await Count(studio, list);
            var done = (await studio.Owner.Post($"{studio.Path}/{list}/batch", new { lines })).Expect(HttpStatusCode.OK);
            Assert.False(done.Headers.Contains("ETag"), list);
            Assert.Equal(2, done.Body.GetProperty("written").GetInt32());
            Assert.Equal(before + 2, await Count(studio, list));
            foreach (var (line, sent) in Lines(done).Zip(lines))
            {
                Assert.Equal((201, JsonValueKind.Null), (line.GetProperty("status").GetInt32(), line.GetProperty("problem").ValueKind));
                var one = line.GetProperty("body");
                if (list.Contains("meter", StringComparison.Ordinal))
                    Assert.Contains(await Items(studio, list), i => i.GetProperty("id").GetGuid() == one.GetProperty("id").GetGuid());
                else Assert.Equal(
                    (await studio.Owner.Get($"{studio.Path}/{list}/{one.GetProperty("id").GetGuid()}")).Expect(HttpStatusCode.OK).Text, one.ToString());
            }
        }
    }

    [Fact]
    public async Task One_refused_line_takes_back_all_and_every_refusal_is_told()
    {
        var studio = await service.MakeStudio();
        var clay = await studio.MakeClay();
        object[] lines = [Bowl(
            clay, "A"), Bowl(Guid.NewGuid(), "B"), Bowl(clay, "C"), Bowl(clay, "D", heightMm: -1), Bowl(clay, "E", member: studio.OtherPotterId)];
        var refused = (await studio.Potter.Post($"{studio.Path}/pieces/batch", new { lines })).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("request.batch-refused", refused.Code);
        Assert.Equal(
            [("/lines/1/clayId", "pieces.no-such-clay"), ("/lines/3/heightMm", "request.out-of-range"), ("/lines/4", "access.not-yours")],
            refused.Body.GetProperty("errors").EnumerateArray().Select(e => (e.GetProperty("pointer").GetString(), e.GetProperty("code").GetString())));
        Assert.Equal(0, await Count(studio, "pieces"));
        Assert.Equal(0, await Asking.Number(service.Links.Admin, $"select count(*) from piece_copy where studio_id = '{studio.Id}'"));
    }

    [Fact]
    public async Task By_choice_the_other_lines_are_written_and_a_refused_one_is_answered_as_by_itself()
    {
        var studio = await service.MakeStudio();
        var clay = await studio.MakeClay();
        object[] lines = [Bowl(clay, "A"), Bowl(
            Guid.NewGuid(), "B"), Bowl(clay, "C"), Bowl(clay, "D", heightMm: -1), Bowl(clay, "E", member: studio.OtherPotterId), Bowl(clay, "F")];
        var done = (await studio.Potter.Post($"{studio.Path}/pieces/batch", new { lines, allOrNothing = false })).Expect(HttpStatusCode.OK);
        Assert.Equal([201, 422, 201, 400, 403, 201], Lines(done).Select(l => l.GetProperty("status").GetInt32()));
        Assert.Equal(3, done.Body.GetProperty("written").GetInt32());
        Assert.Equal(["A", "C", "F"], (await Items(studio, "pieces")).Select(p => p.GetProperty("mark").GetString()).Order(StringComparer.Ordinal));
        foreach (var (line, sent) in Lines(done).Zip(lines).Where(l => l.First.GetProperty("status").GetInt32() != 201))
        {
            var alone = await studio.Potter.Post($"{studio.Path}/pieces", sent);
            Assert.Equal(line.GetProperty("status").GetInt32(), (int)alone.Status);
            foreach (var field in new[] { "code", "detail", "title", "type" })
                Assert.Equal(alone.Body.GetProperty(field).GetString(), line.GetProperty("problem").GetProperty(field).GetString());
            Assert.Equal(alone.Pointer, line.GetProperty("problem").TryGetProperty("pointer", out var pointer) ? pointer.GetString() : null);
            Assert.NotEqual("", line.GetProperty("problem").GetProperty("traceId").GetString());
        }
    }

    [Fact]
    public async Task A_line_sees_the_lines_before_it_and_a_refused_one_leaves_nothing_to_see()
    {
        var studio = await service.MakeStudio();
        var path = $"firings/{await studio.MakeFiring(await studio.MakeKiln())}/meter-readings";
        // The second falls, and would hold back the third if anything of it stayed; the fourth stands there twice.
        object[] lines = [Reading(7, 4000), Reading(9, 3000), Reading(19, 4030), Reading(19, 4030)];
        Assert.Equal("request.batch-refused", (await studio.Technician.Post($"{studio.Path}/{path}/batch", new { lines }))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal(0, await Count(studio, path));
        var done = (await studio.Technician.Post($"{studio.Path}/{path}/batch", new { lines, allOrNothing = false })).Expect(HttpStatusCode.OK);
        Assert.Equal(["", "energy.register-fell", "", "energy.not-in-order"], Lines(done)
            .Select(l => l.GetProperty("problem") is { ValueKind: JsonValueKind.Object } p ? p.GetProperty("code").GetString() : ""));
        Assert.Equal(2, await Count(studio, path));
        Assert.Equal(2, await Asking.Number(service.Links.Admin, $"select count(*) from audit where studio_id = '{studio.Id}' and action = 'meters.read'"));
    }

    [Fact]
    public async Task A_line_that_a_wall_of_the_database_refuses_holds_back_no_other()
    {
        var studio = await service.MakeStudio();
        for (var round = 0; round < Races.Tries; round++)
        {
            var path = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln())}/meter-readings/batch";
            // All read the one meter at the same time, and each a meter of its own after that.
            var done = await Races.AtOnce(Enumerable.Range(0, 4).Select(i => (Func<Task<Reply>>)(() => studio.Technician.Post(
                path, new
                {
                    lines = new object[] { Reading(7, 4000), new { readAt = "2047-03-20T07:00:00Z", registerKwh = 10, meter = $"own {i}" } },
                    allOrNothing = false
                }))));
            Assert.Equal([1, 1, 1, 2], done.Select(d => d.Expect(HttpStatusCode.OK).Body.GetProperty("written").GetInt32()).Order());
            Assert.All(done, d => Assert.Equal(201, Lines(d).Last().GetProperty("status").GetInt32()));
        }
    }

    [Fact]
    public async Task Outcomes_of_a_firing_come_in_one_batch()
    {
        var studio = await service.MakeStudio();
        var (kiln, clay, glaze) = (await studio.MakeKiln(), await studio.MakeClay(), await studio.MakeGlaze());
        var piece = await studio.MakePiece(studio.Potter, clay, glaze, quantity: 3);
        var firing = await studio.MakePastFiring(kiln, DateTimeOffset.UtcNow.AddDays(-3));
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/load",
            new { placed = new[] { new { pieceId = piece, copies = new[] { 0, 1 } } }, leftBehind = Array.Empty<object>() })).Expect(HttpStatusCode.OK);
        foreach (var state in (string[])["heating", "cooling", "unloaded"]) (await studio.Technician.Put(
            $"{studio.Path}/firings/{firing}/state", new { state, answeredBy = state == "heating" ? "Tilo" : null })).Expect(HttpStatusCode.OK);
        object Came(int copy, string grade = "good") => new { pieceId = piece, firingId = firing, copy, grade };
        object[] lines = [Came(0), Came(0), Came(2), Came(1, "lost"), new { pieceId = Guid.NewGuid(), firingId = firing, copy = 0, grade = "good" }, Came(-1)];
        var done = (await studio.Potter.Post($"{studio.Path}/outcomes/batch", new { lines, allOrNothing = false })).Expect(HttpStatusCode.OK);
        Assert.Equal([201, 409, 422, 201, 404, 400], Lines(done).Select(l => l.GetProperty("status").GetInt32()));
        Assert.Equal(["good", "lost"], (await Items(studio, "outcomes")).Select(o => o.GetProperty("grade").GetString()).Order(StringComparer.Ordinal));
    }

    [Fact]
    public async Task A_retry_of_a_batch_is_answered_as_before_and_writes_nothing_more()
    {
        var studio = await service.MakeStudio();
        object batch = new { lines = new[] { Material("red clay"), Material("white clay") } };
        var tries = await Races.AtOnce(
            Enumerable.Range(0, 4).Select(_ => (Func<Task<Reply>>)(() => studio.Technician.Post($"{studio.Path}/clays/batch", batch, "clays"))));
        Assert.All(tries, t => t.Expect(HttpStatusCode.OK));
        Assert.Single(tries.Select(t => t.Text).Distinct());
        Assert.Equal(2, await Count(studio, "clays"));
        // A refused batch leaves its key free; without one it goes too.
        object broken = new { lines = new[] { Material("red clay"), Material("") } };
        (await studio.Technician.Post($"{studio.Path}/clays/batch", broken, "more")).Expect(HttpStatusCode.UnprocessableEntity);
        (await studio.Technician.Post($"{studio.Path}/clays/batch", batch, "more")).Expect(HttpStatusCode.OK);
        (await studio.Technician.Post($"{studio.Path}/clays/batch", broken, "")).Expect(HttpStatusCode.UnprocessableEntity);
        (await studio.Technician.Post($"{studio.Path}/clays/batch", batch, "")).Expect(HttpStatusCode.OK);
        Assert.Equal(6, await Count(studio, "clays"));
    }

    // No call of today writes before it refuses; one of tomorrow may, and may leave rows that are not saved yet.
    [Fact]
    public async Task What_a_refused_line_wrote_is_taken_back_whatever_it_was()
    {
        var studio = await service.MakeStudio();
        using var scope = service.Services.CreateScope();
        var db = scope.ServiceProvider.GetRequiredService<KilnShareDb>();
        db.Studio = new Id<Studio>(studio.Id);
        var context = new DefaultHttpContext { RequestServices = scope.ServiceProvider };
        MemberBody[] lines = [new() { Name = "stays", Role = Role.Viewer }, new() { Name = "goes", Role = Role.Viewer },
            new() { Name = "stays too", Role = Role.Viewer }];
        var result = await Batches.Run<MemberBody, MemberAnswer>(context, db, lines, false, Write, TestContext.Current.CancellationToken);
        Assert.Equal(2, Assert.IsType<Ok<BatchAnswer<MemberAnswer>>>(result).Value!.Written);
        var members = (await Items(studio, "members")).Select(m => m.GetProperty("name").GetString()).ToList();
        Assert.Equal(["stays", "stays too"], members.Where(n => n!.Contains("stays", StringComparison.Ordinal)).Order(StringComparer.Ordinal));
        Assert.DoesNotContain("goes", members);
        Assert.DoesNotContain("not saved yet", members);

        async Task<IResult> Write(MemberBody line)
        {
            var member = StudioEndpoints.AddMember(db, db.Studio!.Value, line.Name, line.Role, SystemClock.Instance);
            await db.SaveChangesAsync(TestContext.Current.CancellationToken);
            if (line.Name != "goes") return TypedResults.Ok(MemberAnswer.Of(member));
            StudioEndpoints.AddMember(db, db.Studio!.Value, "not saved yet", line.Role, SystemClock.Instance);
            return Problems.Absent();
        }
    }

    [Fact]
    public async Task A_batch_is_bounded()
    {
        var studio = await service.MakeStudio();
        var clay = await studio.MakeClay();
        foreach (var (lines, code) in new[] { (0, "request.empty"), (501, "request.too-many") })
        {
            var refused = await studio.Owner.Post(
                $"{studio.Path}/members/batch", new { lines = Enumerable.Range(0, lines).Select(i => new { name = $"M{i}", role = "potter" }) });
            Assert.Equal((code, "/lines"), (refused.Expect(HttpStatusCode.BadRequest).Code, refused.Pointer));
        }

        var copies = await studio.Potter.Post(
            $"{studio.Path}/pieces/batch", new { lines = Enumerable.Range(0, 5).Select(i => Bowl(clay, $"Q{i}", quantity: 500)) });
        Assert.Equal(("request.too-many", "/lines"), (copies.Expect(HttpStatusCode.BadRequest).Code, copies.Pointer));
        var most = (await studio.Owner.Post($"{studio.Path}/members/batch",
            new { lines = Enumerable.Range(0, 500).Select(i => new { name = $"M{i}", role = "potter" }) })).Expect(HttpStatusCode.OK);
        Assert.Equal(500, most.Body.GetProperty("written").GetInt32());
        Assert.Equal("access.role", (await studio.Potter.Post($"{studio.Path}/members/batch", new { lines = new[] { new { name = "Ava", role = "owner" } } }))
            .Expect(HttpStatusCode.Forbidden).Code);
    }

    private static object Material(string name) => new { name, cones = new { from = "5", to = "7" } };

    private static object Bowl(Guid clay, string mark, int heightMm = 60, Guid? member = null, int quantity = 2) =>
        new { name = "bowl", mark, quantity, footprint = TestStudio.Circle(90), heightMm, clayId = clay, stage = "bisque", memberId = member };

    private static object Reading(int hour, decimal registerKwh) => new { readAt = $"2047-03-20T{hour:00}:00:00Z", registerKwh };

    private static IEnumerable<JsonElement> Lines(Reply reply) => reply.Body.GetProperty("lines").EnumerateArray();

    private static async Task<IReadOnlyList<JsonElement>> Items(TestStudio studio, string list) =>
        [.. (await studio.Owner.Get($"{studio.Path}/{list}")).Expect(HttpStatusCode.OK).Body.GetProperty("items").EnumerateArray()];

    private static async Task<int> Count(TestStudio studio, string list) => (await Items(studio, list)).Count;
}
