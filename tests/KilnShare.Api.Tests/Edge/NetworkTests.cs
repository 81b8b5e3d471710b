using System.Net;
using System.Net.Http.Headers;
using KilnShare.Api.Tests.Access;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Edge;

/// <summary>What browsers, caches and other programs ask around a call: origins, Accept, query, ids, times, and refusals that point to what is wrong.</summary>
public sealed class NetworkTests(Service service) : IClassFixture<Service>
{
    private const string Page = "https://wheel.example";

    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Pages_of_named_origins_may_ask_and_read_refusals_too()
    {
        var studio = await service.MakeStudio();
        using var open = service.WithWebHostBuilder(b => b.UseSetting("KILNSHARE_CORS_ORIGINS", Page + ", http://localhost:5173"));
        using var client = open.CreateClient();
        var asked = await Ask(client, HttpMethod.Options, studio.Path + "/pieces", null, ("Origin", Page), ("Access-Control-Request-Method", "POST"),
            ("Access-Control-Request-Headers", "authorization,idempotency-key"));
        Assert.Equal(HttpStatusCode.NoContent, asked.StatusCode);
        Assert.Equal(Page, asked.Headers.GetValues("Access-Control-Allow-Origin").Single());
        Assert.Contains("Idempotency-Key", string.Join(',', asked.Headers.GetValues("Access-Control-Allow-Headers")), StringComparison.OrdinalIgnoreCase);
        foreach (var (path, token, status) in new[] { ("/v1/me", studio.Potter.Token, 200), ("/v1/me", null, 401),
            ("/v1/cones?series=none", studio.Potter.Token, 400) })
        {
            var read = await Ask(client, HttpMethod.Get, path, token, ("Origin", Page));
            Assert.Equal(status, (int)read.StatusCode);
            Assert.Equal(Page, read.Headers.GetValues("Access-Control-Allow-Origin").Single());
            Assert.Contains("ETag", string.Join(',', read.Headers.GetValues("Access-Control-Expose-Headers")), StringComparison.Ordinal);
            Assert.False(read.Headers.Contains("Access-Control-Allow-Credentials"));
            Assert.Contains("Origin", string.Join(',', read.Headers.Vary), StringComparison.Ordinal);
        }

        Assert.False((await Ask(client, HttpMethod.Get, "/v1/me", studio.Potter.Token, ("Origin", "https://elsewhere.example"))).Headers.Contains(
            "Access-Control-Allow-Origin"));
        using var shut = service.CreateClient();
        Assert.Equal(HttpStatusCode.MethodNotAllowed,
            (await Ask(shut, HttpMethod.Options, studio.Path + "/pieces", null, ("Origin", Page), ("Access-Control-Request-Method", "POST"))).StatusCode);
    }

    [Theory]
    [InlineData("*")]
    [InlineData("wheel.example")]
    [InlineData("https://wheel.example/")]
    [InlineData("https://wheel.example/page")]
    [InlineData("ftp://wheel.example")]
    public void A_setting_that_is_no_origin_is_refused_and_named(string named)
    {
        var refused = Assert.Throws<InvalidOperationException>(() => Api.Hosting.Origins.Read("https://good.example," + named));
        Assert.Contains($"{named} is none", refused.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("/cones", "text/html", 406)]
    [InlineData("/cones", "application/xml, text/html;q=0.9", 406)]
    [InlineData("/cones", "*/*, application/json;q=0", 406)]
    [InlineData("/cones", "application/problem+json", 406)]
    [InlineData("/cones", "text/html, */*;q=0.1", 200)]
    [InlineData("/cones", "application/*", 200)]
    [InlineData("/cones", "APPLICATION/JSON; charset=utf-8", 200)]
    [InlineData("/cones", "text/html, image/gif, *; q=.2, */*; q=.2", 200)] // as some clients send it
    [InlineData("/studio/firings/calendar.ics", "text/calendar", 200)]
    [InlineData("/studio/firings/calendar.ics", "application/json", 406)]
    public async Task Accept_is_held_to(string path, string accept, int status)
    {
        var studio = await service.MakeStudio();
        using var client = service.CreateClient();
        using var answer = await Ask(client, HttpMethod.Get, (path == "/cones" ? "/v1/cones?series=selfSupporting" : path)
            .Replace("/studio", studio.Path, StringComparison.Ordinal), studio.Viewer.Token, ("Accept", accept));
        Assert.Equal(status, (int)answer.StatusCode);
        if (status == 406) Assert.Contains("request.not-acceptable", await answer.Content.ReadAsStringAsync(Cancellation), StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_cannot_be_answered_as_asked_is_not_done()
    {
        var studio = await service.MakeStudio();
        using var client = service.CreateClient();
        using var request = new HttpRequestMessage(HttpMethod.Post, studio.Path + "/clays")
        {
            Content = new StringContent(
            """{"name":"never made","conesUnknown":true}""", System.Text.Encoding.UTF8, "application/json")
        };
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", studio.Technician.Token);
        request.Headers.TryAddWithoutValidation("Accept", "text/html");
        using var answer = await client.SendAsync(request, Cancellation);
        Assert.Equal(HttpStatusCode.NotAcceptable, answer.StatusCode);
        Assert.Equal(0, (await studio.Viewer.Get(studio.Path + "/clays")).Body.GetProperty("items").GetArrayLength());
    }

    /// <summary>Every call, asked for something that it does not take.</summary>
    [Fact]
    public async Task An_unknown_query_value_is_refused_and_the_refusal_lists_those_that_are_taken()
    {
        var world = await World.Make(service);
        foreach (var route in RouteUnderTest.All(service).Where(r => r.Row.Least is not null))
        {
            var path = route.Path(name => world.Find(name) ?? World.Absent(name));
            var reply = (await world.Studio.Owner.Send(new HttpMethod(route.Method), path + "?limt=5")).Expect(HttpStatusCode.BadRequest);
            Assert.True(reply.Code == "request.unknown-parameter" && reply.Pointer == "/limt", $"{route}: {reply.Text}");
        }

        var pieces = world.Studio.Path + "/pieces";
        Assert.Contains("after, limit", (await world.Studio.Viewer.Get(pieces + "?Limit=5")).Expect(HttpStatusCode.BadRequest).Text, StringComparison.Ordinal);
        Assert.Equal("request.duplicate-parameter", (await world.Studio.Viewer.Get(pieces + "?limit=5&limit=6")).Expect(HttpStatusCode.BadRequest).Code);
        var unread = (await world.Studio.Viewer.Get(pieces + "?limit=many")).Expect(HttpStatusCode.BadRequest);
        Assert.Equal(("request.malformed", "/limit"), (unread.Code, unread.Pointer));
        var statement = (await world.Studio.Owner.Get($"{world.Studio.Path}/accounts/{world.Find("memberId")}/statement")).Expect(HttpStatusCode.BadRequest);
        Assert.Equal(("request.missing-parameter", "/from"), (statement.Code, statement.Pointer));
    }

    /// <summary>Every id in every path.</summary>
    [Fact]
    public async Task A_malformed_id_is_a_400_that_names_it_and_an_unknown_one_a_404()
    {
        var world = await World.Make(service);
        var cases = 0;
        foreach (var route in RouteUnderTest.All(service).Where(r => r.Row.Least is not null))
        {
            foreach (var name in route.Parameters.Where(n => n.EndsWith("Id", StringComparison.Ordinal)))
            {
                foreach (var odd in new[] { "12", "0190c0de00007000800000000000000a" })
                {
                    var path = route.Path(n => world.Find(n) ?? World.Absent(n), name, odd);
                    var reply = (await world.Studio.Owner.Send(new HttpMethod(route.Method), path)).Expect(HttpStatusCode.BadRequest);
                    Assert.True(reply.Code == "request.malformed-id" && reply.Pointer == "/" + name, $"{route.Method} {path}: {reply.Text}");
                    cases++;
                }
            }
        }

        Assert.True(cases > 200, $"{cases} cases");
        (await service.As(null).Get("/v1/studios/12/pieces")).Expect(HttpStatusCode.Unauthorized);
        (await world.Studio.Viewer.Get($"/v1/studios/{World.Absent("studio")}/pieces")).Expect(HttpStatusCode.NotFound);
    }

    [Fact]
    public async Task A_refusal_points_to_the_field_that_is_missing_and_tells_the_version_that_is_there()
    {
        var studio = await service.MakeStudio();
        var one = (await studio.Owner.Post(studio.Path + "/members", new { role = "potter" })).Expect(HttpStatusCode.BadRequest);
        Assert.Equal(("request.missing-field", "/name"), (one.Code, one.Pointer));
        var deep = (await studio.Viewer.Post("/v1/calculations/heat-work", new { series = "selfSupporting", schedule = new { startC = 20 } }))
            .Expect(HttpStatusCode.BadRequest);
        Assert.Equal(("request.missing-field", "/schedule/segments"), (deep.Code, deep.Pointer));
        var both = (await studio.Owner.Post(studio.Path + "/members", new { })).Expect(HttpStatusCode.BadRequest);
        Assert.Equal(["/name", "/role"], both.Body.GetProperty("errors").EnumerateArray().Select(e => e.GetProperty("pointer").GetString())
            .Order(StringComparer.Ordinal));
        var clay = $"{studio.Path}/clays/{await studio.MakeClay()}";
        var tag = await studio.Technician.Tag(clay);
        (await studio.Technician.Patch(clay, new { name = "x" }, tag)).Expect(HttpStatusCode.OK);
        Assert.Equal(2, (await studio.Technician.Patch(clay, new { name = "y" }, tag)).Expect(HttpStatusCode.PreconditionFailed).Body.GetProperty("values")
            .GetProperty("version").GetInt64());
    }

    [Theory]
    [InlineData("2047-03-14T09:30:00+01:00", true)]
    [InlineData("2047-03-14t08:30:00z", true)]
    [InlineData("2047-03-14T23:59:59.5Z", true)]
    [InlineData("2047-03-14T24:00:00Z", false)]
    [InlineData("2047-03-14T24:00:00+01:00", false)]
    [InlineData("2047-03-14 08:30:00Z", false)]
    [InlineData("2047-03-14T08:30Z", false)]
    [InlineData("2047-03-14T08:30:00", false)]
    [InlineData("2047-03-14T08:30:00+0100", false)]
    public async Task Times_are_RFC_3339(string expiresAt, bool isGood)
    {
        var studio = await service.MakeStudio();
        var reply = await studio.Owner.Post($"{studio.Path}/members/{studio.PotterId}/tokens", new { label = "page", expiresAt });
        Assert.True(isGood == (reply.Status == HttpStatusCode.Created), reply.Text);
        if (!isGood) Assert.Equal(("request.not-a-time", "/expiresAt"), (reply.Code, reply.Pointer));
    }

    private static async Task<HttpResponseMessage> Ask(
        HttpClient client, HttpMethod method, string path, string? token, params (string Name, string Value)[] headers)
    {
        using var request = new HttpRequestMessage(method, path);
        if (token is not null) request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", token);
        foreach (var (name, value) in headers) request.Headers.TryAddWithoutValidation(name, value);
        return await client.SendAsync(request, Cancellation);
    }
}
