using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Materials;

/// <summary>A potter's own clays and glazes: theirs alone, until a technician takes them into the studio's book.</summary>
public sealed class OwnMaterialTests(Service service) : IClassFixture<Service>
{
    [Theory]
    [InlineData("clays")]
    [InlineData("glazes")]
    public async Task What_is_a_potters_own_is_seen_by_them_and_by_those_who_plan_and_by_nobody_else(string kind)
    {
        var studio = await service.MakeStudio();
        var own = await Own(studio, kind, "mine alone");
        var path = $"{studio.Path}/{kind}/{own}";
        foreach (var caller in new[] { studio.Potter, studio.Technician, studio.Owner })
        {
            Assert.Equal(studio.PotterId, (await caller.Get(path)).Expect(HttpStatusCode.OK).Body.GetProperty("memberId").GetGuid());
            Assert.Contains(own.ToString(), (await caller.Get($"{studio.Path}/{kind}")).Text, StringComparison.Ordinal);
        }

        foreach (var caller in new[] { studio.OtherPotter, studio.Viewer })
        {
            (await caller.Get(path)).Expect(HttpStatusCode.NotFound);
            Assert.Equal(0, (await caller.Get($"{studio.Path}/{kind}")).Body.GetProperty("items").GetArrayLength());
        }

        (await studio.OtherPotter.Patch(path, new { name = "yours" }, "*")).Expect(HttpStatusCode.NotFound);
        (await studio.OtherPotter.Delete(path, "*")).Expect(HttpStatusCode.NotFound);
        (await studio.Viewer.Post($"{studio.Path}/{kind}", Body("none"))).Expect(HttpStatusCode.Forbidden);
        (await studio.Potter.Patch(path, new { name = "still mine" }, "*")).Expect(HttpStatusCode.OK);
        (await studio.Technician.Patch(path, new { name = "seen to" }, "*")).Expect(HttpStatusCode.OK);
        Assert.Equal(studio.PotterId, (await studio.Potter.Get(path)).Body.GetProperty("memberId").GetGuid());
        (await studio.Potter.Delete(path, "*")).Expect(HttpStatusCode.NoContent);
    }

    [Fact]
    public async Task It_is_for_its_makers_pieces_only_and_another_is_refused_by_the_field()
    {
        var studio = await service.MakeStudio();
        var (clay, glaze, kept) = (await Own(studio, "clays", "my clay"), await Own(studio, "glazes", "my glaze"), await studio.MakeClay());
        await studio.MakePiece(studio.Potter, clay, glaze);
        var stranger = (await studio.OtherPotter.Post(studio.Path + "/pieces", Piece(kept, glaze))).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal(("pieces.no-such-glaze", "/layers/0/glazeId"), (stranger.Code, stranger.Pointer));
        Assert.Equal("/clayId", (await studio.OtherPotter.Post(studio.Path + "/pieces", Piece(clay, null))).Expect(HttpStatusCode.UnprocessableEntity).Pointer);
        // Who plans sees it, and is told whose it is.
        var told = (await studio.Technician.Post(studio.Path + "/pieces", Piece(kept, glaze))).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal(("pieces.glaze-of-another", "/layers/0/glazeId"), (told.Code, told.Pointer));
        Assert.Contains("my glaze is ", told.Text, StringComparison.Ordinal);
        (await studio.Technician.Post(studio.Path + "/pieces", new
        {
            memberId = studio.PotterId,
            name = "bowl",
            footprint = new { kind = "circle", diameterMm = 90 },
            heightMm = 60,
            clayId = clay
        })).Expect(HttpStatusCode.Created);
        var other = await studio.MakePiece(studio.OtherPotter, kept, await studio.MakeGlaze());
        Assert.Equal("pieces.no-such-clay", (await studio.OtherPotter.Patch($"{studio.Path}/pieces/{other}", new { clayId = clay }, "*"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    [Theory]
    [InlineData("clays", "clay")]
    [InlineData("glazes", "glaze")]
    public async Task A_technician_takes_it_in_and_then_all_may_use_it_and_only_those_who_plan_change_it(string kind, string what)
    {
        var studio = await service.MakeStudio();
        var own = await Own(studio, kind, "brought along");
        var path = $"{studio.Path}/{kind}/{own}";
        (await studio.Potter.Post(path + "/adoption")).Expect(HttpStatusCode.Forbidden);
        var taken = (await studio.Technician.Post(path + "/adoption")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(("null", 2L), (taken.GetProperty("memberId").GetRawText(), taken.GetProperty("version").GetInt64()));
        Assert.Equal(2L, (await studio.Technician.Post(path + "/adoption")).Expect(HttpStatusCode.OK).Body.GetProperty("version").GetInt64());
        (await studio.Viewer.Get(path)).Expect(HttpStatusCode.OK);
        var clay = what == "clay" ? own : await studio.MakeClay();
        (await studio.OtherPotter.Post(studio.Path + "/pieces", Piece(clay, what == "clay" ? null : own))).Expect(HttpStatusCode.Created);
        var kept = (await studio.Potter.Patch(path, new { name = "again mine" }, "*")).Expect(HttpStatusCode.Forbidden);
        Assert.Equal("materials.of-the-studio", kept.Code);
        Assert.Contains("brought along", kept.Text, StringComparison.Ordinal);
        (await studio.Potter.Delete(path, "*")).Expect(HttpStatusCode.Forbidden);
        (await studio.Technician.Post($"{studio.Path}/{kind}/{Guid.NewGuid()}/adoption")).Expect(HttpStatusCode.NotFound);
    }

    [Theory]
    [InlineData("clays", "materials.clay-in-book")]
    [InlineData("glazes", "materials.glaze-in-book")]
    public async Task It_goes_by_a_name_of_its_own_beside_the_book(string kind, string code)
    {
        var studio = await service.MakeStudio();
        var own = await Own(studio, kind, "first of its name");
        (await studio.Technician.Post($"{studio.Path}/{kind}", Body("Tin White"))).Expect(HttpStatusCode.Created);
        var same = (await studio.Potter.Post($"{studio.Path}/{kind}", Body("tin white"))).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal((code, "/name"), (same.Code, same.Pointer));
        Assert.Equal(code, (await studio.Potter.Patch($"{studio.Path}/{kind}/{own}", new { name = "TIN WHITE" }, "*"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        (await studio.Technician.Post($"{studio.Path}/{kind}", Body("first of its name"))).Expect(HttpStatusCode.Created);
        Assert.Equal(code, (await studio.Technician.Post($"{studio.Path}/{kind}/{own}/adoption")).Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    [Fact]
    public async Task Ware_of_own_material_counts_as_brought_in_from_outside_until_it_is_taken_in()
    {
        var studio = await service.MakeStudio();
        var glaze = await Own(studio, "glazes", "from my kitchen");
        (await studio.Owner.Put(studio.Path + "/house-rules", new { outsideMaterialNeedsTestAndCatcher = true }, "*")).Expect(HttpStatusCode.OK);
        var piece = await studio.MakePiece(studio.Potter, await studio.MakeClay(), glaze);
        var kiln = await studio.MakeKiln();
        var refused = (await Book(studio, await studio.MakeFiring(kiln), piece)).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Contains("house-outside", refused.Text, StringComparison.Ordinal);
        (await studio.Technician.Post($"{studio.Path}/glazes/{glaze}/adoption")).Expect(HttpStatusCode.OK);
        Assert.DoesNotContain("house-outside", (await Book(studio, await studio.MakeFiring(kiln, turn: 5), piece)).Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task How_a_coat_went_on_and_its_batch_are_kept_with_the_layer()
    {
        var studio = await service.MakeStudio();
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var piece = TestStudio.IdOf(
            await studio.Potter.Post(studio.Path + "/pieces", Layered(new { glazeId = glaze, appliedBy = "sprayed", batch = "lot 0412" })));
        var layer = (await studio.Potter.Get($"{studio.Path}/pieces/{piece}")).Body.GetProperty("layers")[0];
        Assert.Equal(("sprayed", "lot 0412"), (layer.GetProperty("appliedBy").GetString(), layer.GetProperty("batch").GetString()));
        var plain = (await studio.Potter.Post(studio.Path + "/pieces", Layered(new { glazeId = glaze }))).Body.GetProperty("layers")[0];
        Assert.Equal(("null", "null"), (plain.GetProperty("appliedBy").GetRawText(), plain.GetProperty("batch").GetRawText()));
        (await studio.Potter.Post(studio.Path + "/pieces", Layered(new { glazeId = glaze, appliedBy = "thrown" }))).Expect(HttpStatusCode.BadRequest);
        Assert.Equal("/layers/0/batch", (await studio.Potter.Post(studio.Path + "/pieces", Layered(new { glazeId = glaze, batch = new string('b', 61) })))
            .Expect(HttpStatusCode.BadRequest).Pointer);

        object Layered(object one) =>
            new { name = "bowl", footprint = new { kind = "circle", diameterMm = 90 }, heightMm = 60, clayId = clay, layers = new[] { one } };
    }

    private static Task<Reply> Book(TestStudio studio, Guid firing, Guid piece) =>
        studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece, copies = new[] { 0 } } } });

    private static object Body(string name) => new { name, cones = new { from = "5", to = "7" } };

    private static object Piece(Guid clay, Guid? glaze) => new
    {
        name = "bowl",
        footprint = new { kind = "circle", diameterMm = 90 },
        heightMm = 60,
        clayId = clay,
        layers = glaze is { } id ? new object[] { new { glazeId = id } } : [],
    };

    private static async Task<Guid> Own(TestStudio studio, string kind, string name) =>
        TestStudio.IdOf(await studio.Potter.Post($"{studio.Path}/{kind}", Body(name)));
}
