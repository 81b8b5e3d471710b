using System.Net;
using System.Text.Json;

namespace KilnShare.Api.Tests.Common;

/// <summary>Editing by merge patch (RFC 7396) under If-Match, and putting away.</summary>
public sealed class EditTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task A_patch_changes_what_it_names_and_leaves_the_rest_and_raises_the_version()
    {
        var studio = await service.MakeStudio();
        var kiln = $"{studio.Path}/kilns/{await studio.MakeKiln()}";
        var before = (await studio.Technician.Get(kiln)).Body;
        var tag = await studio.Technician.Tag(kiln);
        var after = (await studio.Technician.Patch(kiln, new { name = "Blue kiln", ratedCone = (string?)null, chamber = new { wallClearanceMm = 30.5 } }, tag))
            .Expect(HttpStatusCode.OK);

        Assert.Equal("Blue kiln", after.Body.GetProperty("name").GetString());
        Assert.Equal(JsonValueKind.Null, after.Body.GetProperty("ratedCone").ValueKind);
        Assert.Equal(30.5m, after.Body.GetProperty("chamber").GetProperty("wallClearanceMm").GetDecimal());
        Assert.Equal(685m, after.Body.GetProperty("chamber").GetProperty("heightMm").GetDecimal());
        Assert.Equal(before.GetProperty("furniture").GetRawText(), after.Body.GetProperty("furniture").GetRawText());
        Assert.NotEqual(tag, after.Headers.ETag!.ToString(), StringComparer.Ordinal);
        Assert.Equal(after.Body.GetRawText(), (await studio.Viewer.Get(kiln)).Body.GetRawText());
    }

    [Theory]
    [InlineData("""{"name":"a","name":"b"}""", 400, "request.duplicate-field")]
    [InlineData("""{"name":"a","na\u006de":"b"}""", 400, "request.duplicate-field")]
    [InlineData("""{"chamber":{"heightMm":600,"heightMm":601}}""", 400, "request.duplicate-field")]
    [InlineData("""{"colour":"blue"}""", 400, "request.unknown-field")]
    [InlineData("""{"id":"00000000-0000-0000-0000-000000000000"}""", 400, "request.unknown-field")]
    [InlineData("""{"version":7}""", 400, "request.unknown-field")]
    [InlineData("""{"name":null}""", 400, "request.missing-field")]
    [InlineData("""{"name":""}""", 400, "request.text")]
    [InlineData("""{"chamber":{"heightMm":-1}}""", 400, "request.out-of-range")]
    [InlineData("""{"chamber":{"heightMm":0.0001}}""", 400, "request.too-many-decimals")]
    [InlineData("""{"name":"\ud800"}""", 400, "request.malformed")]
    [InlineData("""[]""", 400, "request.malformed")]
    [InlineData("""null""", 400, "request.malformed")]
    [InlineData("""{"name":"a"} {}""", 400, "request.malformed")]
    [InlineData("""{"furniture":{"posts":[]}}""", 422, "kilns.no-posts")]
    public async Task A_bad_patch_is_refused_and_changes_nothing(string patch, int status, string code)
    {
        var studio = await service.MakeStudio();
        var kiln = $"{studio.Path}/kilns/{await studio.MakeKiln()}";
        var before = await studio.Technician.Get(kiln);
        var reply = (await studio.Technician.Patch(kiln, patch, await studio.Technician.Tag(kiln))).Expect((HttpStatusCode)status);

        Assert.Equal(code, reply.Code);
        Assert.Equal(before.Text, (await studio.Technician.Get(kiln)).Text);
    }

    [Fact]
    public async Task An_edit_without_a_version_is_428_with_an_old_one_412_and_of_another_media_type_415()
    {
        var studio = await service.MakeStudio();
        var clay = $"{studio.Path}/clays/{await studio.MakeClay()}";
        var tag = await studio.Technician.Tag(clay);
        Assert.Equal("request.if-match-missing", (await studio.Technician.Patch(clay, new { name = "x" })).Expect(HttpStatusCode.PreconditionRequired).Code);
        Assert.Equal("request.if-match-missing", (await studio.Technician.Delete(clay)).Expect(HttpStatusCode.PreconditionRequired).Code);
        (await studio.Technician.Patch(clay, new { name = "x" }, tag)).Expect(HttpStatusCode.OK);
        foreach (var old in new[] { tag, "W/" + await studio.Technician.Tag(clay), "\"\"", "nonsense", "\"0\"" })
        {
            Assert.Equal("request.stale", (await studio.Technician.Patch(clay, new { name = "y" }, old)).Expect(HttpStatusCode.PreconditionFailed).Code);
            (await studio.Technician.Delete(clay, old)).Expect(HttpStatusCode.PreconditionFailed);
        }

        Assert.Equal("request.media-type", (await studio.Technician.Send(HttpMethod.Patch, clay, new { name = "y" }, ifMatch: "*"))
            .Expect(HttpStatusCode.UnsupportedMediaType).Code);
        (await studio.Technician.Patch(clay, new { name = "y" }, $"\"77\", {await studio.Technician.Tag(clay)}")).Expect(HttpStatusCode.OK);
        Assert.Equal("y", (await studio.Viewer.Get(clay)).Body.GetProperty("name").GetString());
    }

    [Fact]
    public async Task Of_edits_at_the_same_time_from_the_same_copy_one_wins()
    {
        var studio = await service.MakeStudio();
        var clay = $"{studio.Path}/clays/{await studio.MakeClay()}";
        var tag = await studio.Technician.Tag(clay);
        var replies = await Task.WhenAll(Enumerable.Range(0, 8).Select(i => studio.Technician.Patch(clay, new { name = $"clay {i}" }, tag)));
        Assert.Equal(1, replies.Count(r => r.Status == HttpStatusCode.OK));
        Assert.Equal(7, replies.Count(r => r.Status == HttpStatusCode.PreconditionFailed));
    }

    [Fact]
    public async Task What_is_put_away_is_listed_no_more_cannot_be_edited_and_stays_readable()
    {
        var studio = await service.MakeStudio();
        var id = await studio.MakeGlaze();
        var glaze = $"{studio.Path}/glazes/{id}";
        (await studio.Technician.Delete(glaze, await studio.Technician.Tag(glaze))).Expect(HttpStatusCode.NoContent);
        Assert.Equal(0, (await studio.Viewer.Get(studio.Path + "/glazes")).Body.GetProperty("items").GetArrayLength());
        (await studio.Viewer.Get(glaze)).Expect(HttpStatusCode.OK);
        (await studio.Technician.Patch(glaze, new { name = "z" }, "*")).Expect(HttpStatusCode.NotFound);
        var clay = await studio.MakeClay();
        var refused = await studio.Potter.Post(studio.Path + "/pieces",
            new { name = "a", footprint = TestStudio.Circle(10), heightMm = 10, clayId = clay, layers = new[] { new { glazeId = id } } });
        Assert.Equal("pieces.no-such-glaze", refused.Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    [Fact]
    public async Task What_is_still_used_is_not_put_away_and_the_refusal_says_what_to_do()
    {
        var studio = await service.MakeStudio();
        var (kilnId, clayId, glazeId) = (await studio.MakeKiln(), await studio.MakeClay(), await studio.MakeGlaze());
        var pieceId = await studio.MakePiece(studio.Potter, clayId, glazeId);
        var firingId = await studio.MakeFiring(kilnId);
        (await studio.Potter.Post($"{studio.Path}/firings/{firingId}/bookings", new { pieces = new[] { new { pieceId } } })).Expect(HttpStatusCode.Created);
        var technician = studio.Technician;
        Assert.Equal("materials.clay-in-use", (await technician.Delete($"{studio.Path}/clays/{clayId}", "*")).Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("materials.glaze-in-use", (await technician.Delete($"{studio.Path}/glazes/{glazeId}", "*"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("kilns.has-firings", (await technician.Delete($"{studio.Path}/kilns/{kilnId}", "*")).Expect(HttpStatusCode.UnprocessableEntity).Code);
        (await technician.Patch($"{studio.Path}/kilns/{kilnId}", new { name = "only a name" }, "*")).Expect(HttpStatusCode.OK);
        Assert.Equal("firings.has-bookings", (await technician.Patch($"{studio.Path}/firings/{firingId}", new { cone = "5" }, "*"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("pieces.booked", (await studio.Potter.Delete($"{studio.Path}/pieces/{pieceId}", "*")).Expect(HttpStatusCode.UnprocessableEntity).Code);

        (await technician.Delete($"{studio.Path}/firings/{firingId}", "*")).Expect(HttpStatusCode.NoContent);
        Assert.Equal("withdrawn", (await studio.Potter.Get($"{studio.Path}/firings/{firingId}/bookings")).Body.GetProperty("items")[0].GetProperty("state")
            .GetString());
        (await studio.Potter.Delete($"{studio.Path}/pieces/{pieceId}", "*")).Expect(HttpStatusCode.NoContent);
        foreach (var path in new[] { $"clays/{clayId}", $"glazes/{glazeId}", $"kilns/{kilnId}" })
            (await technician.Delete($"{studio.Path}/{path}", "*")).Expect(HttpStatusCode.NoContent);
    }

    [Fact]
    public async Task A_booked_copy_keeps_its_facts_when_its_piece_is_edited_and_quantity_owner_and_stage_are_not_patched()
    {
        var studio = await service.MakeStudio();
        var piece = await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze());
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        (await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece } } }))
            .Expect(HttpStatusCode.Created);
        var path = $"{studio.Path}/pieces/{piece}";
        (await studio.Potter.Patch(path, new { name = "renamed", mark = "R", heightMm = 400 }, await studio.Potter.Tag(path))).Expect(HttpStatusCode.OK);
        Assert.Contains("\"mark\":\"C\"", (await studio.Potter.Get($"{studio.Path}/firings/{firing}/bookings")).Text, StringComparison.Ordinal);
        foreach (var (field, value) in new (string, object)[] { ("quantity", 3), ("memberId", studio.PotterId), ("stage", "finished") })
            Assert.Equal("request.unknown-field", (await studio.Potter.Patch(
                path, new Dictionary<string, object>(StringComparer.Ordinal) { [field] = value }, "*")).Expect(HttpStatusCode.BadRequest).Code);
        Assert.Equal("access.not-yours", (await studio.OtherPotter.Patch(path, new { name = "mine" }, "*")).Expect(HttpStatusCode.Forbidden).Code);
    }

    [Fact]
    public async Task Revoking_a_token_lowering_a_role_and_letting_a_member_go_count_at_the_next_request()
    {
        var studio = await service.MakeStudio();
        var (id, caller) = await studio.Add(service, "Rosa", "technician");
        var path = $"{studio.Path}/members/{id}";
        (await caller.Get(studio.Path)).Expect(HttpStatusCode.OK);
        (await studio.Owner.Patch(path, new { role = "viewer" }, await studio.Owner.Tag(path))).Expect(HttpStatusCode.OK);
        (await caller.Post(studio.Path + "/clays", new { cones = new { from = "5", to = "6" } })).Expect(HttpStatusCode.Forbidden);
        var tokens = (await studio.Owner.Get(path + "/tokens")).Expect(HttpStatusCode.OK);
        Assert.DoesNotContain("ks_", tokens.Text, StringComparison.Ordinal);
        var token = $"{path}/tokens/{tokens.Body.GetProperty("items")[0].GetProperty("id").GetGuid()}";
        (await studio.Owner.Delete(token)).Expect(HttpStatusCode.NoContent);
        (await caller.Get(studio.Path)).Expect(HttpStatusCode.Unauthorized);
        (await studio.Owner.Delete(token)).Expect(HttpStatusCode.NoContent);
        (await studio.Viewer.Get(path + "/tokens")).Expect(HttpStatusCode.Forbidden);

        var (gone, leaver) = await studio.Add(service, "Till", "potter");
        (await studio.Owner.Delete($"{studio.Path}/members/{gone}", "*")).Expect(HttpStatusCode.NoContent);
        (await leaver.Get(studio.Path)).Expect(HttpStatusCode.Unauthorized);
        (await studio.Owner.Post($"{studio.Path}/members/{gone}/tokens", new { label = "again" })).Expect(HttpStatusCode.NotFound);
    }

    [Fact]
    public async Task A_studio_keeps_an_owner()
    {
        var studio = await service.MakeStudio();
        var me = (await studio.Owner.Get("/v1/me")).Body.GetProperty("memberId").GetGuid();
        Assert.Equal("studios.last-owner", (await studio.Owner.Patch($"{studio.Path}/members/{me}", new { role = "potter" }, "*"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("studios.last-owner", (await studio.Owner.Delete($"{studio.Path}/members/{me}", "*")).Expect(HttpStatusCode.UnprocessableEntity).Code);
        (await studio.Add(service, "Second", "owner")).ToString();
        (await studio.Owner.Patch($"{studio.Path}/members/{me}", new { role = "potter" }, "*")).Expect(HttpStatusCode.OK);
    }

    [Fact]
    public async Task Furniture_is_replaced_whole_under_the_kilns_version()
    {
        var studio = await service.MakeStudio();
        var kiln = $"{studio.Path}/kilns/{await studio.MakeKiln()}";
        var tag = await studio.Technician.Tag(kiln + "/furniture");
        Assert.Equal(tag.Split('.')[0], (await studio.Technician.Tag(kiln)).Split('.')[0]);
        var furniture = new
        {
            shelves = new[] { new { id = "only", footprint = TestStudio.Circle(500), thicknessMm = 16, count = 2 } },
            posts = new[] { new { heightMm = 100, count = 6 } }
        };
        (await studio.Technician.Put(kiln + "/furniture", furniture)).Expect(HttpStatusCode.PreconditionRequired);
        (await studio.Technician.Put(kiln + "/furniture", furniture, tag)).Expect(HttpStatusCode.OK);
        (await studio.Technician.Put(kiln + "/furniture", furniture, tag)).Expect(HttpStatusCode.PreconditionFailed);
        Assert.Equal("only", (await studio.Viewer.Get(kiln)).Body.GetProperty("furniture").GetProperty("shelves")[0].GetProperty("id").GetString());
    }

    [Fact]
    public async Task The_studio_is_patched_and_its_currency_stays()
    {
        var studio = await service.MakeStudio();
        (await studio.Owner.Patch(studio.Path, new { timeZone = "Asia/Kathmandu", allowsOvertaking = true, perKwh = "0.400001" }, await studio.Owner.Tag(
            studio.Path))).Expect(HttpStatusCode.OK);
        var now = (await studio.Viewer.Get(studio.Path)).Body;
        Assert.Equal(("Asia/Kathmandu", "0.400001", true),
            (now.GetProperty("timeZone").GetString(), now.GetProperty("perKwh").GetString(), now.GetProperty("allowsOvertaking").GetBoolean()));
        (await studio.Owner.Patch(studio.Path, new { currency = "USD" }, "*")).Expect(HttpStatusCode.BadRequest);
        Assert.Equal("studios.no-such-zone", (await studio.Owner.Patch(studio.Path, new { timeZone = "Mars/Base" }, "*"))
            .Expect(HttpStatusCode.BadRequest).Code);
    }

    [Fact]
    public async Task A_firing_moves_in_time_until_it_is_loaded_and_never_onto_another()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var (first, second) = (await studio.MakeFiring(kiln, 1), await studio.MakeFiring(kiln, 5));
        var taken = (await studio.Technician.Get($"{studio.Path}/firings/{first}")).Body.GetProperty("startsAt").GetString();
        Assert.Equal("kilns.time-taken", (await studio.Technician.Patch($"{studio.Path}/firings/{second}", new { startsAt = taken }, "*"))
            .Expect(HttpStatusCode.Conflict).Code);
        (await studio.Technician.Delete($"{studio.Path}/firings/{first}", "*")).Expect(HttpStatusCode.NoContent);
        var moved = (await studio.Technician.Patch($"{studio.Path}/firings/{second}", new { startsAt = taken, cone = "5" }, "*"))
            .Expect(HttpStatusCode.OK).Body;
        Assert.Equal((taken, "5"), (moved.GetProperty("startsAt").GetString(), moved.GetProperty("cone").GetString()));
        Assert.Equal("firings.kiln-stays", (await studio.Technician.Patch($"{studio.Path}/firings/{second}", new { kilnId = await studio.MakeKiln() }, "*"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        (await studio.Technician.Patch($"{studio.Path}/firings/{first}", new { coolingHours = 30 }, "*")).Expect(HttpStatusCode.Conflict);
    }

    [Fact]
    public async Task Reference_data_can_be_copied_as_it_is()
    {
        var studio = await service.MakeStudio();
        foreach (var what in new[] { "clay", "glaze" })
        {
            var items = (await studio.Viewer.Get($"/v1/reference/{what}s")).Expect(HttpStatusCode.OK).Body.GetProperty("items").EnumerateArray().ToList();
            Assert.NotEmpty(items);
            foreach (var item in items)
            {
                Assert.Matches("published|memory|common practice", item.GetProperty("source").GetString());
                (await studio.Technician.Post($"{studio.Path}/{what}s", item.GetProperty(what).GetRawText())).Expect(HttpStatusCode.Created);
            }
        }

        var furniture = (await studio.Viewer.Get("/v1/reference/furniture")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(11, furniture.GetProperty("shelves").GetArrayLength());
        // 21 in round is 533.4 mm, and half of it 173.2 in²: the trade reference's [D] value.
        Assert.Equal(533.4m, furniture.GetProperty("shelves")[2].GetProperty("footprint").GetProperty("diameterMm").GetDecimal());
        Assert.Equal(13, furniture.GetProperty("posts").GetArrayLength());
    }

}
