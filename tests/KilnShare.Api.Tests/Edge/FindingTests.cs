using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Bookings;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Edge;

/// <summary>What is looked for in lists is found: alone, together, and page by page.</summary>
public sealed class FindingTests(Service service) : IClassFixture<Service>
{
    private static readonly string[] Kinds = ["bisque", "underglazeSet", "glaze", "singleFire", "overglaze"];

    [Fact]
    public async Task Firings_come_in_the_order_of_their_start_however_they_were_written_down()
    {
        var studio = await service.MakeStudio();
        var (one, other) = (await studio.MakeKiln(), await studio.MakeKiln());
        var written = new List<Guid>();
        foreach (var turn in new[] { 9, 3, 6, 1, 3 }) written.Add(await studio.MakeFiring(written.Count == 4 ? other : one, turn, accepting: false));
        var pages = await Pages(studio, "/firings?limit=1");
        Assert.Equal([written[3], .. new[] { written[1], written[4] }.Order(), written[2], written[0]], pages);
        Assert.Equal(pages, await Pages(studio, "/firings?limit=2"));
        Assert.Equal(pages, await Pages(studio, "/firings"));
    }

    [Fact]
    public async Task A_firing_that_is_moved_while_pages_are_read_moves_no_page()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var firings = new List<Guid>();
        for (var turn = 0; turn < 4; turn++) firings.Add(await studio.MakeFiring(kiln, turn, accepting: false));
        var first = (await studio.Viewer.Get($"{studio.Path}/firings?limit=2")).Expect(HttpStatusCode.OK);
        (await studio.Technician.Patch($"{studio.Path}/firings/{firings[1]}", new { startsAt = "2047-12-01T08:00:00Z" }, "*")).Expect(HttpStatusCode.OK);
        var second = await Pages(studio, $"/firings?limit=3&after={Uri.EscapeDataString(first.Body.GetProperty("next").GetString()!)}");
        Assert.Equal([firings[2], firings[3], firings[1]], second);
    }

    [Fact]
    public async Task Firings_are_found_by_all_that_is_asked_for()
    {
        var studio = await service.MakeStudio();
        var (one, other) = (await studio.MakeKiln(), await studio.MakeKiln());
        var path = $"{studio.Path}/firings";
        foreach (var (kiln, kind, day, accepting) in new[]
        {
            (one, "glaze", "2047-05-01", true), (one, "bisque", "2047-05-04", false), (one, "glaze", "2047-05-07", false), (one, "bisque", "2047-05-10", true),
            (other, "glaze", "2047-05-01", true), (other, "glaze", "2047-05-07", true), (other, "bisque", "2047-05-10", true),
        })
        {
            var id = TestStudio.IdOf(await studio.Technician.Post(path,
                new { kilnId = kiln, kind, cone = kind == "bisque" ? "04" : "6", startsAt = day + "T00:00:00+02:00", firingHours = 11, coolingHours = 20 }));
            if (accepting) (await studio.Technician.Put($"{path}/{id}/state", new { state = "accepting" })).Expect(HttpStatusCode.OK);
        }

        var all = await Items(studio, "/firings");
        Assert.Equal(7, all.Count);
        foreach (var (state, kind, kiln, span) in
            from state in new[] { null, "accepting", "draft" }
            from kind in new[] { null, "glaze", "bisque", "overglaze" }
            from kiln in new Guid?[] { null, one, other }
            from span in new (string? From, string? To)[] { (null, null), ("2047-05-04", null), (null, "2047-05-07"), ("2047-05-02", "2047-05-08") }
            select (state, kind, kiln, span))
        {
            var (from, to) = span;
            var wanted = all.Where(f => (state is null || Word(f, "state") == state) && (kind is null || Word(f, "kind") == kind)
                && (kiln is null || f.GetProperty("kilnId").GetGuid() == kiln)
                && (from is null || f.GetProperty("startsAt").GetDateTimeOffset() >= DateTimeOffset.Parse(from + "T00:00:00+02:00", null))
                && (to is null || f.GetProperty("startsAt").GetDateTimeOffset() < DateTimeOffset.Parse(to + "T00:00:00+02:00", null))).Select(Id);
            var query = string.Join('&', new[] { ("state", state), ("kind", kind), ("kilnId", kiln?.ToString()), ("from", from), ("to", to) }.Where(
                q => q.Item2 is not null).Select(q => $"{q.Item1}={q.Item2}"));
            Assert.Equal(wanted, await Pages(studio, $"/firings?limit=2&{query}"));
        }
    }

    [Fact]
    public async Task Pieces_are_found_by_what_they_need_next_as_the_list_itself_tells_it()
    {
        var studio = await service.MakeStudio();
        var (clay, glazes) = (await studio.MakeClay(), new List<Guid>());
        foreach (var kind in new[] { "glaze", "underglaze", "engobe", "lustre" })
            glazes.Add(TestStudio.IdOf(await studio.Technician.Post($"{studio.Path}/glazes", new
            {
                name = kind,
                kind,
                cones = new { from = kind == "lustre" ? "018" : "5", to = kind == "lustre" ? "016" : "6" },
                contains = Array.Empty<object>()
            })));
        var ware = (
            from stage in new[] { "greenware", "bisque", "Glazed", "Finished", "Lost" }
            from single in new bool?[] { null, true, false }
            from before in new[] { null, "bisque", "underglazeSet", "glaze", "singleFire", "refire", "overglaze" }
            from coats in new int[][] { [], [0], [1], [2, 0], [3], [0, 3] }
            where coats.Length > 0 || before is null
            select (stage, single, before, coats)).ToList();
        var (made, fired) = (0, new List<string>());
        foreach (var part in ware.Chunk(500))
        {
            var answers = (await studio.Potter.Post(
                $"{studio.Path}/pieces/batch", new { lines = part.Select((w, i) => Tile(w.single, w.before, w.coats, w.stage, i)), allOrNothing = false }))
                .Expect(HttpStatusCode.OK).Body.GetProperty("lines").EnumerateArray();
            foreach (var ((stage, _, _, coats), id) in part.Zip(
                answers, (w, a) => (w, a.GetProperty("status").GetInt32() == 201 ? a.GetProperty("body").GetProperty("id").GetGuid() : (Guid?)null)))
            {
                if (id is null) continue;
                made++;
                // What firings make of ware, with lists of fired coats as they stand in rows old and new.
                if (stage is not ("greenware" or "bisque"))
                    fired.Add($"update piece_copy set stage = '{stage}', step = 1, layers_fired_at = "
                        + $"'{(made % 4 < 2 || coats.Length == 0 ? "[]" : made % 2 == 0 ? """["6"]""" : """{"v":1,"items":["6"]}""")}' where "
                        + $"piece_id = '{id}';");
            }
        }

        await VersionHistory.Run(service.Links.Admin, string.Join('\n', fired));
        object Tile(bool? single, string? before, int[] coats, string stage, int i) => new
        {
            name = $"tile {i}",
            mark = i % 2 == 0 ? "T" : null,
            quantity = 1,
            footprint = TestStudio.Circle(60),
            heightMm = 20,
            clayId = clay,
            stage = stage == "greenware" ? stage : "bisque",
            singleFire = single,
            layers = coats.Select(c => new { glazeId = glazes[c], coats = 1, goesOnBefore = before }),
        };

        Assert.True(made > 150, $"Only {made} pieces were taken.");
        var all = await Items(studio, "/pieces");
        Assert.Equal(made, all.Count);
        foreach (var kind in Kinds)
        {
            Assert.Equal(all.Where(p => Next(p) == kind).Select(Id), await Pages(studio, $"/pieces?limit=200&nextKind={kind}"));
            Assert.Equal(
                all.Where(p => Next(p) == kind && Word(p, "stage") == "bisque" && Word(p, "mark") == "T").Select(Id),
                await Pages(studio, $"/pieces?limit=7&mark=T&nextKind={kind}&stage=bisque&memberId={studio.PotterId}"));
        }

        Assert.Equal(Kinds.Order(StringComparer.Ordinal), all.Select(Next).OfType<string>().Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal));
    }

    [Fact]
    public async Task Pieces_are_found_by_mark_clay_glaze_and_stage_of_a_copy()
    {
        var studio = await service.MakeStudio();
        var (clays, glazes) = (new[] { await studio.MakeClay(), await studio.MakeClay("4", "6") },
            new[] { await studio.MakeGlaze(), await studio.MakeGlaze() });
        foreach (var (potter, mark, clay, layers) in
            from potter in new[] { studio.Potter, studio.OtherPotter }
            from mark in new[] { null, "A1", "a1", "Ä \"1\"" }
            from clay in clays
            from layers in new Guid[][] { [], [glazes[0]], [glazes[1], glazes[0]] }
            select (potter, mark, clay, layers))
        {
            TestStudio.IdOf(await potter.Post($"{studio.Path}/pieces", new
            {
                name = "bowl",
                mark,
                quantity = 2,
                footprint = TestStudio.Circle(90),
                heightMm = 60,
                clayId = clay,
                stage = "bisque",
                layers = layers.Select(g => new { glazeId = g, coats = 1 }),
            }));
        }

        var all = await Items(studio, "/pieces");
        Assert.Equal(48, all.Count);
        foreach (var (mark, clay, glaze, member) in
            from mark in new[] { null, "A1", "Ä \"1\"", "B" }
            from clay in new Guid?[] { null, clays[1], Guid.NewGuid() }
            from glaze in new Guid?[] { null, glazes[0], glazes[1] }
            from member in new Guid?[] { null, studio.OtherPotterId }
            select (mark, clay, glaze, member))
        {
            var wanted = all.Where(p => (mark is null || Word(p, "mark") == mark) && (clay is null || p.GetProperty("clayId").GetGuid() == clay)
                && (glaze is null || p.GetProperty("layers").EnumerateArray().Any(l => l.GetProperty("glazeId").GetGuid() == glaze))
                && (member is null || p.GetProperty("memberId").GetGuid() == member)).Select(Id);
            var query = new[] { ("mark", mark), ("clayId", clay?.ToString()), ("glazeId", glaze?.ToString()), ("memberId", member?.ToString()) }
                .Where(q => q.Item2 is not null).Select(q => $"&{q.Item1}={Uri.EscapeDataString(q.Item2!)}");
            Assert.Equal(wanted, await Pages(studio, "/pieces?limit=5" + string.Concat(query)));
        }

        Assert.Empty(await Pages(studio, "/pieces?stage=lost"));
        Assert.Equal(48, (await Pages(studio, "/pieces?stage=bisque&nextKind=glaze")).Count);
    }

    [Fact]
    public async Task Bookings_are_found_over_all_firings_as_their_firing_tells_them()
    {
        var studio = await service.MakeStudio();
        var (kiln, clay, glaze) = (await studio.MakeKiln(), await studio.MakeClay(), await studio.MakeGlaze());
        foreach (var turn in new[] { 1, 2 })
        {
            var path = $"{studio.Path}/firings/{await studio.MakeFiring(kiln, turn)}/bookings";
            foreach (var potter in new[] { studio.Potter, studio.OtherPotter, studio.Potter })
            {
                var wide = await studio.MakePiece(potter, clay, glaze, diameterMm: 400, heightMm: 560);
                (await potter.Post(path, new { pieces = new[] { new { pieceId = wide } }, mayWait = true })).Expect(HttpStatusCode.Created);
            }
        }

        var told = new List<JsonElement>();
        foreach (var firing in await Items(studio, "/firings")) told.AddRange(await Items(studio, $"/firings/{Id(firing)}/bookings"));
        Assert.Equal(6, told.Count);
        foreach (var (member, waits) in
            from member in new Guid?[] { null, studio.PotterId, studio.OtherPotterId, studio.OwnerId }
            from waits in new[] { null, "room", "technician" }
            select (member, waits))
        {
            var wanted = told.Where(b => (member is null || b.GetProperty("memberId").GetGuid() == member) && (waits is null || Word(b, "waitsFor") == waits))
                .OrderBy(Id);
            var found = await Items(studio, $"/bookings?limit=2{(member is null ? "" : $"&memberId={member}")}{(waits is null ? "" : $"&waitsFor={waits}")}");
            Assert.Equal(wanted.Select(b => b.ToString()), found.Select(b => b.ToString()));
        }

        Assert.Equal(4, (await Items(studio, "/bookings?waitsFor=room")).Count);
    }

    [Theory]
    [InlineData("/firings?state=nearly", "request.malformed")]
    [InlineData("/firings?kind=Glaze", "request.malformed")]
    [InlineData("/firings?from=yesterday", "request.malformed")]
    [InlineData("/firings?from=2047-02-30", "request.malformed")]
    [InlineData("/firings?from=2047-02-03&to=2047-02-03", "request.out-of-range")]
    [InlineData("/firings?kilnId=1", "request.malformed")]
    [InlineData("/firings?after=0198a0b0-0000-7000-8000-000000000000", "request.bad-cursor")]
    [InlineData("/firings?after=999999999999999999.0198a0b0-0000-7000-8000-000000000000", "request.bad-cursor")]
    [InlineData("/firings?after=1.2.0198a0b0-0000-7000-8000-000000000000", "request.bad-cursor")]
    [InlineData("/firings?cone=6", "request.unknown-parameter")]
    [InlineData("/pieces?mark=%00", "request.text")]
    [InlineData("/pieces?mark=", "request.text")]
    [InlineData("/pieces?stage=raw", "request.malformed")]
    [InlineData("/pieces?nextKind=raku", "request.malformed")]
    [InlineData("/bookings?waitsFor=summer", "request.malformed")]
    [InlineData("/bookings?state=waiting", "request.unknown-parameter")]
    public async Task What_is_not_known_is_refused(string query, string code)
    {
        var studio = await service.MakeStudio();
        Assert.Equal(code, (await studio.Viewer.Get(studio.Path + query)).Expect(HttpStatusCode.BadRequest).Code);
    }

    private static Guid Id(JsonElement item) => item.GetProperty("id").GetGuid();

    private static string? Word(JsonElement item, string field) => item.GetProperty(field).GetString();

    private static string? Next(JsonElement piece) =>
        piece.GetProperty("copies")[0].GetProperty("route") is var route && route.GetArrayLength() > 0 ? route[0].GetProperty("kind").GetString() : null;

    private static async Task<IReadOnlyList<Guid>> Pages(TestStudio studio, string path) => [.. (await Items(studio, path)).Select(Id)];

    /// <summary>Everything in the list, by the Link header from page to page.</summary>
    private static async Task<IReadOnlyList<JsonElement>> Items(TestStudio studio, string list)
    {
        var (path, items) = (studio.Path + list, new List<JsonElement>());
        while (path is not null)
        {
            var page = (await studio.Viewer.Get(path)).Expect(HttpStatusCode.OK);
            items.AddRange(page.Body.GetProperty("items").EnumerateArray());
            path = page.Headers.TryGetValues("Link", out var link) ? link.Single().Split('<', '>')[1] : null;
            Assert.Equal(path is null, page.Body.GetProperty("next").ValueKind == JsonValueKind.Null);
        }

        return items;
    }
}
