using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>A booked firing as a picture and as a paper.</summary>
public sealed class LoadPaperTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task A_booked_firing_is_drawn_with_owner_and_mark_and_printed_with_its_font()
    {
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        var piece = await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze(), quantity: 3);
        (await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece } } })).Expect(HttpStatusCode.Created);
        var plan = $"{studio.Path}/firings/{firing}/load-plan";

        var picture = (await studio.Viewer.Get(plan + ".svg")).Expect(HttpStatusCode.OK);
        Assert.Equal("image/svg+xml; charset=utf-8", picture.ContentType);
        foreach (var words in new[] { ">Mira<", ">C 0<", ">C 2<", "glaze firing to cone 6", "100 mm" }) Assert.Contains(words, picture.Text, StringComparison.Ordinal);

        var paper = (await studio.Viewer.Get(plan + ".pdf?unit=inches&temperature=fahrenheit")).Expect(HttpStatusCode.OK);
        Assert.Equal("application/pdf", paper.ContentType);
        Assert.StartsWith("%PDF-", paper.Text, StringComparison.Ordinal);
        Assert.Contains("/FontFile2", paper.Text, StringComparison.Ordinal); // embedded, so that it prints anywhere
    }

    [Fact]
    public async Task An_empty_firing_has_a_picture_too_and_another_studios_has_none()
    {
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        var other = await service.MakeStudio();
        foreach (var form in new[] { "svg", "pdf" })
        {
            (await studio.Viewer.Get($"{studio.Path}/firings/{firing}/load-plan.{form}")).Expect(HttpStatusCode.OK);
            (await other.Viewer.Get($"{studio.Path}/firings/{firing}/load-plan.{form}")).Expect(HttpStatusCode.NotFound);
            (await other.Viewer.Get($"{other.Path}/firings/{firing}/load-plan.{form}")).Expect(HttpStatusCode.NotFound);
            (await service.As(null).Get($"{studio.Path}/firings/{firing}/load-plan.{form}")).Expect(HttpStatusCode.Unauthorized);
        }
    }
}
