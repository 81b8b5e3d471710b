using System.IO.Compression;
using System.Net;
using System.Net.Http.Headers;
using KilnShare.Api.Tests.Access;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Edge;

/// <summary>What a cache may keep: every read has a validator that stands for all of its answer, is there for HEAD too, and may be packed.</summary>
public sealed class CachingTests(Service service, TestDatabase database) : IClassFixture<Service>
{
    // A paper says when it was printed, so it is another one each time.
    private const string Paper = "application/pdf";

    private static readonly Dictionary<string, string> Queries = new(StringComparer.Ordinal)
    {
        ["listCones"] = "?series=selfSupporting",
        ["readStatement"] = "?from=2026-01-01&to=2100-01-01",
        ["readStatementCsv"] = "?from=2026-01-01&to=2100-01-01",
        ["readStatementPdf"] = "?from=2026-01-01&to=2100-01-01",
    };

    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    /// <summary>All reads, asked again after each of many changes: a copy is good while the answer is the same, unless its thing has a new version.</summary>
    [Fact]
    public async Task A_readers_copy_is_good_while_the_answer_is_the_same_and_no_longer()
    {
        var world = await World.Make(service);
        var studio = world.Studio;
        using var client = service.CreateClient();
        var reads = RouteUnderTest.All(service).Where(r => r.Method == "GET").ToDictionary(
            r => r.Operation, r => r.Path(name => world.Find(name) ?? World.Absent(name)) + Queries.GetValueOrDefault(r.Operation), StringComparer.Ordinal);
        var (copies, changed, answered) = (new Dictionary<string, Copy>(
            StringComparer.Ordinal), new HashSet<string>(StringComparer.Ordinal), new HashSet<string>(StringComparer.Ordinal));
        foreach (var change in Changes(world).Prepend(() => Task.CompletedTask))
        {
            await change();
            foreach (var (operation, path) in reads)
            {
                var now = await Ask(client, HttpMethod.Get, path, studio.Owner.Token!);
                if (now.Status != HttpStatusCode.OK) continue;
                answered.Add(operation);
                Assert.True(now.Tag is not null, $"{operation} has no ETag.");
                if (now.Type == Paper) continue;
                if (copies.TryGetValue(operation, out var copy))
                {
                    var isSame = now.Body.AsSpan().SequenceEqual(copy.Body);
                    Assert.True(isSame || now.Tag != copy.Tag, $"{operation} has another answer under {copy.Tag}.");
                    var again = await Ask(client, HttpMethod.Get, path, studio.Owner.Token!, held: copy.Tag);
                    Assert.True(again.Status == (now.Tag == copy.Tag ? HttpStatusCode.NotModified : HttpStatusCode.OK),
                        $"{operation} with {copy.Tag} held: {again.Status}");
                    if (!isSame) changed.Add(operation);
                }

                copies[operation] = now;
            }
        }

        Assert.True(answered.Count >= 55,
            $"only {answered.Count} of {reads.Count} reads answered; not: {string.Join(", ", reads.Keys.Except(answered, StringComparer.Ordinal))}");
        Assert.True(changed.Count >= 20, $"only these were seen to change: {string.Join(", ", changed)}");
    }

    [Fact]
    public async Task Whatever_is_read_by_GET_answers_HEAD_with_the_same_headers_and_packed_with_the_same_answer()
    {
        var world = await World.Make(service);
        await using var listening = new Service(database) { Over = service.Links };
        await listening.InitializeAsync();
        using var client = listening.OverSocket();
        var packed = new Dictionary<string, int>(StringComparer.Ordinal);
        foreach (var route in RouteUnderTest.All(service).Where(r => r.Method == "GET"))
        {
            var path = route.Path(name => world.Find(name) ?? World.Absent(name)) + Queries.GetValueOrDefault(route.Operation);
            var plain = await Ask(client, HttpMethod.Get, path, world.Studio.Owner.Token!);
            if (plain.Status != HttpStatusCode.OK || plain.Type == Paper) continue;
            var head = await Ask(client, HttpMethod.Head, path, world.Studio.Owner.Token!);
            Assert.Equal((plain.Status, plain.Tag, plain.Type, plain.Length, 0), (head.Status, head.Tag, head.Type, head.Length, head.Body.Length));
            foreach (var coding in new[] { "br", "gzip" })
            {
                var answer = await Ask(client, HttpMethod.Get, path, world.Studio.Owner.Token!, coding: coding);
                if (answer.Coding is null) continue;
                Assert.Equal(coding, answer.Coding);
                Assert.NotEqual(plain.Tag, answer.Tag); // other bytes: a strong tag of their own
                Assert.Equal(plain.Body, Unpacked(answer));
                Assert.True(answer.Body.Length < plain.Body.Length, route.Operation);
                packed[coding] = packed.GetValueOrDefault(coding) + 1;
            }
        }

        Assert.All(new[] { "br", "gzip" }, coding => Assert.True(packed.GetValueOrDefault(coding) > 5, $"{coding}: {packed.GetValueOrDefault(coding)}"));
        Assert.Equal(HttpStatusCode.OK, (await Ask(client, HttpMethod.Head, "/openapi/v1.json", null)).Status);
        Assert.Equal("br", (await Ask(client, HttpMethod.Get, "/openapi/v1.json", null, coding: "gzip;q=0.5, br")).Coding);
        Assert.Equal("gzip", (await Ask(client, HttpMethod.Get, "/openapi/v1.json", null, coding: "gzip, br;q=0")).Coding);
        Assert.Null((await Ask(client, HttpMethod.Get, "/openapi/v1.json", null, coding: "identity")).Coding);
    }

    /// <summary>A secret is never packed with what others may have put beside it, nor kept on its way.</summary>
    [Fact]
    public async Task An_answer_with_a_secret_is_neither_packed_nor_kept()
    {
        var studio = await service.MakeStudio();
        using var client = service.CreateClient();
        using var request = new HttpRequestMessage(HttpMethod.Post, $"{studio.Path}/members/{studio.PotterId}/tokens");
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", studio.Owner.Token);
        request.Headers.TryAddWithoutValidation("Accept-Encoding", "br, gzip");
        request.Content = new StringContent("{\"label\":\"" + new string('a', 90) + "\"}", System.Text.Encoding.UTF8, "application/json");
        using var answer = await client.SendAsync(request, Cancellation);
        Assert.Equal(HttpStatusCode.Created, answer.StatusCode);
        Assert.True(answer.Headers.CacheControl!.NoStore);
        Assert.Null(answer.Headers.ETag);
        Assert.Empty(answer.Content.Headers.ContentEncoding);
        var secret = RouteUnderTest.All(service).Where(r => r.TellsSecret).Select(r => r.Operation);
        Assert.Equal(secret, RouteUnderTest.All(service).Where(r => r.Row.TellsSecret).Select(r => r.Operation));
    }

    private sealed record Copy(HttpStatusCode Status, string? Tag, byte[] Body, string? Type, long? Length, string? Coding);

    private static async Task<Copy> Ask(HttpClient client, HttpMethod method, string path, string? token, string? held = null, string? coding = null)
    {
        using var request = new HttpRequestMessage(method, path);
        if (token is not null) request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", token);
        if (held is not null) request.Headers.TryAddWithoutValidation("If-None-Match", held);
        if (coding is not null) request.Headers.TryAddWithoutValidation("Accept-Encoding", coding);
        using var answer = await client.SendAsync(request, Cancellation);
        var content = answer.Content.Headers;
        return new Copy(
            answer.StatusCode, answer.Headers.ETag?.ToString(), await answer.Content.ReadAsByteArrayAsync(
                Cancellation), content.ContentType?.ToString(), content.ContentLength,
            content.ContentEncoding.SingleOrDefault());
    }

    private static byte[] Unpacked(Copy answer)
    {
        using var packed = new MemoryStream(answer.Body);
        using Stream reading = answer.Coding == "br"
            ? new BrotliStream(packed, CompressionMode.Decompress) : new GZipStream(packed, CompressionMode.Decompress);
        using var plain = new MemoryStream();
        reading.CopyTo(plain);
        return plain.ToArray();
    }

    /// <summary>What people change, one thing after the other.</summary>
    private static IEnumerable<Func<Task>> Changes(World world)
    {
        var (studio, path) = (world.Studio, world.Studio.Path);
        string Of(string kind, string name) => $"{path}/{kind}/{world.Find(name)}";
        var firing = Of("firings", "firingId");
        yield return () => Patch(Of("clays", "clayId"), new { name = "another clay" });
        yield return () => Patch(Of("glazes", "glazeId"), new { name = "another glaze" });
        yield return () => Patch(Of("kilns", "kilnId"), new { name = "another kiln" });
        yield return () => Patch(Of("members", "memberId"), new { name = "another name" });
        yield return () => Patch(path, new { name = "another studio" });
        yield return () => Patch(Of("pieces", "pieceId"), new { name = "another piece" });
        yield return () => Send(studio.Potter.Post($"{firing}/bookings/{world.Find("bookingId")}/withdrawal"));
        yield return () => Send(studio.Potter.Post(firing + "/bookings", new { pieces = new[] { new { pieceId = world.Find("pieceId") } } }));
        yield return () =>
            Send(studio.Technician.Post(path + "/schedules", new { name = "slow", startC = 20, segments = new[] { new { rateCPerHour = 60, toC = 1000 } } }));
        yield return () =>
            Send(studio.Technician.Post(path + "/tariffs", new { name = "night", currency = "EUR", periods = new[] { new { name = "all", perKwh = "0.2" } } }));
        yield return () => Send(studio.Owner.Post($"{path}/members/{world.Find("memberId")}/tokens", new { label = "one more" }));
        yield return () => Send(studio.Technician.Post(firing + "/meter-readings", new { readAt = "2046-01-01T11:00:00Z", registerKwh = 20 }));

        async Task Patch(string what, object patch) => await Send(studio.Owner.Patch(what, patch, await studio.Owner.Tag(what)));
        static async Task Send(Task<Reply> sent) => Assert.InRange((int)(await sent).Status, 200, 299);
    }
}
