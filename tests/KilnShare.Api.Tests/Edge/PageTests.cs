using System.Net;
using System.Text.RegularExpressions;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Edge;

/// <summary>Lists by pages.</summary>
public sealed partial class PageTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Following_the_link_shows_each_entry_once_and_keeps_to_what_was_asked_for()
    {
        var studio = await service.MakeStudio();
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var mine = new List<Guid>();
        for (var i = 0; i < 5; i++)
        {
            mine.Add(await studio.MakePiece(studio.Potter, clay, glaze));
            await studio.MakePiece(studio.OtherPotter, clay, glaze);
        }

        var (path, read) = ($"{studio.Path}/pieces?memberId={studio.PotterId}&limit=2", new List<Guid>());
        for (var pages = 0; path is not null; pages++)
        {
            Assert.True(pages < 4, "There are three pages.");
            var page = (await studio.Viewer.Get(path)).Expect(HttpStatusCode.OK);
            read.AddRange(page.Body.GetProperty("items").EnumerateArray().Select(p => p.GetProperty("id").GetGuid()));
            path = page.Headers.TryGetValues("Link", out var link) ? Next().Match(link.Single()).Groups[1].Value : null;
        }

        Assert.Equal(mine.Order(), read.Order());
    }

    [Fact]
    public async Task A_thing_reads_later_as_it_was_told_when_it_was_made()
    {
        var studio = await service.MakeStudio();
        foreach (var (list, body) in new (string, object)[]
        {
            ("clays", new { name = "stoneware", cones = new { from = "5", to = "7" } }),
            ("members", new { name = "Lio", role = "potter" }),
            ("schedules", new { name = "ramp", startC = 20, segments = new[] { new { rateCPerHour = 100, toC = 1000 } } }),
        })
        {
            var made = (await studio.Owner.Post($"{studio.Path}/{list}", body)).Expect(HttpStatusCode.Created);
            var read = (await studio.Owner.Get($"{studio.Path}/{list}/{made.Body.GetProperty("id").GetGuid()}")).Expect(HttpStatusCode.OK);
            Assert.Equal(made.Text, read.Text);
            Assert.Equal(made.Headers.ETag, read.Headers.ETag);
        }
    }

    [GeneratedRegex("^<([^>]*)>; rel=\"next\"$")]
    private static partial Regex Next();
}
