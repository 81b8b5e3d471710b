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
        (await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece } } }))
            .Expect(HttpStatusCode.Created);
        var plan = $"{studio.Path}/firings/{firing}/load-plan";

        var picture = (await studio.Viewer.Get(plan + ".svg")).Expect(HttpStatusCode.OK);
        Assert.Equal("image/svg+xml; charset=utf-8", picture.ContentType);
        foreach (var words in new[] { "Mira · C 1–3 · 100 mm high", ">C 1<", ">C 3<", "glaze firing to cone 6" })
            Assert.Contains(words, picture.Text, StringComparison.Ordinal);

        var paper = (await studio.Viewer.Get(plan + ".pdf?unit=inches&temperature=fahrenheit")).Expect(HttpStatusCode.OK);
        Assert.Equal("application/pdf", paper.ContentType);
        Assert.StartsWith("%PDF-", paper.Text, StringComparison.Ordinal);
        Assert.Contains("/FontFile2", paper.Text, StringComparison.Ordinal); // embedded, so that it prints anywhere
    }

    /// <summary>Read back by a second program, pdftotext of the Poppler project.</summary>
    [Fact]
    public async Task The_sheet_says_where_to_fetch_where_to_stand_what_to_key_in_and_what_was_agreed()
    {
        var studio = await service.MakeStudio();
        var schedule = TestStudio.IdOf(await studio.Technician.Post(studio.Path + "/schedules", new
        {
            name = "glaze six",
            startC = 20,
            segments = new[] { new { rateCPerHour = 150, toC = 1100, holdMinutes = 0 }, new { rateCPerHour = 60, toC = 1222, holdMinutes = 10 } },
        }));
        var firing = await studio.MakeFiring(await studio.MakeKiln(), schedule: schedule);
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var (mine, other) = (await studio.MakePiece(studio.Potter, clay, glaze, quantity: 3), await studio.MakePiece(studio.OtherPotter, clay, glaze));
        (await studio.Potter.Post($"{studio.Path}/pieces/{mine}/custody", new { kind = "handedIn", copies = new[] { 0, 2 }, rack = "left rack" }))
            .Expect(HttpStatusCode.Created);
        foreach (var (who, piece) in new[] { (studio.Potter, mine), (studio.OtherPotter, other) })
            (await who.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece } } })).Expect(HttpStatusCode.Created);

        var text = await TextOf(await studio.Viewer.Bytes($"{studio.Path}/firings/{firing}/load-plan.pdf"));

        Assert.Contains("150 °C an hour to 1100 °C; 60 °C an hour to 1222 °C, hold 10 min", text, StringComparison.Ordinal);
        Assert.Matches(@"left rack\s+Mira: 2 × cylinder \(C\)", text);
        Assert.Matches(@"not handed in\s+(Mira|Jonas|\w+): .*cylinder \(C\)", text);
        Assert.Matches(@"Shelf 1 · full", text);
        Assert.Matches(@"\n\s*\[ *\]\s+1\s+\w+\s+cylinder C( \d)?\s+100 mm\s+\d+ mm\s*\n", text); // the first has nothing to be measured from
        Assert.Matches(@"\n\s*\[ *\]\s+4\s+\w+\s+cylinder C( \d)?\s+100 mm\s+\d+ mm\s+\d+ mm from No\. [1-3]", text);
        Assert.DoesNotContain("cylinder cylinder", text, StringComparison.Ordinal);
        Assert.Matches(@"Hands may be off by 3(\.1)? mm before two pieces touch\.", text);
    }

    private static async Task<string> TextOf(byte[] pdf)
    {
        using var reader = System.Diagnostics.Process.Start(new System.Diagnostics.ProcessStartInfo("pdftotext", ["-layout", "-", "-"])
        {
            UseShellExecute = false,
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
        })!;
        await reader.StandardInput.BaseStream.WriteAsync(pdf, TestContext.Current.CancellationToken);
        reader.StandardInput.Close();
        return await reader.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
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
