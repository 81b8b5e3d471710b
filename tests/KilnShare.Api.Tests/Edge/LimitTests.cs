using System.Net;
using KilnShare.Api.Tests.Access;
using KilnShare.Api.Tests.Common;
using Microsoft.Extensions.DependencyInjection;

namespace KilnShare.Api.Tests.Edge;

/// <summary>How often one may ask, how long a request may take, which methods there are, and the headers of every answer.</summary>
public sealed class LimitTests(Service service, TestDatabase database) : IClassFixture<Service>
{
    private static readonly int Tries = Environment.GetEnvironmentVariable("KILNSHARE_SOAK") == "1" ? 200 : 20;
    private static readonly HttpMethod[] Methods = [
        .. new[] { "GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "CONNECT", "PROPFIND" }.Select(m => new HttpMethod(m))];

    [Fact]
    public async Task A_call_that_takes_no_body_may_name_a_type_all_the_same()
    {
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        var piece = await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze());
        var path = $"{studio.Path}/firings/{firing}/bookings";
        var booking = TestStudio.IdOf(await studio.Potter.Post(path, new { pieces = new[] { new { pieceId = piece } } }));
        (await studio.Potter.Send(HttpMethod.Get, "/v1/me", "")).Expect(HttpStatusCode.OK);
        (await studio.Potter.Send(HttpMethod.Post, $"{path}/{booking}/withdrawal", "")).Expect(HttpStatusCode.OK);
        Assert.Equal("request.malformed", (await studio.Potter.Send(HttpMethod.Post, path, "")).Expect(HttpStatusCode.BadRequest).Code);
    }

    [Fact]
    public async Task Who_asks_too_often_is_told_when_to_come_again_and_others_are_not_held_up()
    {
        var studio = await service.MakeStudio();
        using var limited = service.WithWebHostBuilder(b => b.UseSetting("KILNSHARE_RATE_PER_TOKEN", "20").UseSetting("KILNSHARE_RATE_ANONYMOUS", "5"));
        var (busy, calm, nobody) = (new Caller(
            limited.CreateClient(), studio.Potter.Token), new Caller(limited.CreateClient(), studio.Viewer.Token), new Caller(limited.CreateClient(), null));
        var replies = new List<Reply>();
        for (var i = 0; i < 25; i++) replies.Add(await busy.Get("/v1/me"));
        Assert.Equal(20, replies.Count(r => r.Status == HttpStatusCode.OK));
        var late = replies[^1].Expect(HttpStatusCode.TooManyRequests);
        Assert.Equal("request.too-often", late.Code);
        Assert.InRange((int)late.Headers.RetryAfter!.Delta!.Value.TotalSeconds, 1, 60);
        (await calm.Get("/v1/me")).Expect(HttpStatusCode.OK);

        var strangers = new List<Reply>();
        for (var i = 0; i < 8; i++) strangers.Add(await nobody.Get("/v1/me"));
        Assert.Equal(5, strangers.Count(r => r.Status == HttpStatusCode.Unauthorized));
        Assert.Equal(3, strangers.Count(r => r.Status == HttpStatusCode.TooManyRequests));
        var guesser = new Caller(limited.CreateClient(), studio.Potter.Token![..^4] + "AAAA");
        (await guesser.Get("/v1/me")).Expect(HttpStatusCode.TooManyRequests);
        for (var i = 0; i < 30; i++) (await nobody.Get("/health/live")).Expect(HttpStatusCode.OK);
        (await calm.Get("/v1/me")).Expect(HttpStatusCode.OK);
    }

    /// <summary>While the table of tokens is locked, whoever asks it waits: who is answered at once did not ask.</summary>
    [Fact]
    public async Task Tokens_that_were_wrong_before_are_soon_refused_without_asking_the_database_and_good_ones_are_not()
    {
        var studio = await service.MakeStudio();
        using var limited = service.WithWebHostBuilder(b => b.UseSetting("KILNSHARE_RATE_PER_TOKEN", "0").UseSetting("KILNSHARE_RATE_ANONYMOUS", "10"));
        Caller With(string? token) => new(limited.CreateClient(), token);
        var (good, wrong) = (With(studio.Potter.Token), studio.Potter.Token![..^4]);
        (await good.Get("/v1/me")).Expect(HttpStatusCode.OK);
        for (var i = 0; i < 10; i++) (await With($"{wrong}{i:0000}").Get("/v1/me")).Expect(HttpStatusCode.Unauthorized);
        await using (var blocker = new Npgsql.NpgsqlConnection(service.Links.Admin + ";Pooling=false"))
        {
            await blocker.OpenAsync(TestContext.Current.CancellationToken);
            await using var transaction = await blocker.BeginTransactionAsync(TestContext.Current.CancellationToken);
            await using (var hold = new Npgsql.NpgsqlCommand("lock table access_token in access exclusive mode", blocker,
                transaction)) await hold.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
            var asked = good.Get("/v1/me");
            var shut = (await With(wrong + "0003").Get("/v1/me")).Expect(HttpStatusCode.TooManyRequests);
            Assert.Equal("request.too-often", shut.Code);
            Assert.InRange((int)shut.Headers.RetryAfter!.Delta!.Value.TotalSeconds, 1, 60);
            Assert.False(asked.IsCompleted);
            await transaction.RollbackAsync(TestContext.Current.CancellationToken);
            (await asked).Expect(HttpStatusCode.OK);
        }

        (await good.Get("/v1/me")).Expect(HttpStatusCode.OK);
    }

    /// <summary>Behind one address somebody tries tokens, a hundred at once; those of others from there, never seen before, are let in every time.</summary>
    [Fact]
    public async Task A_good_token_is_let_in_whoever_guesses_from_its_address()
    {
        var studio = await service.MakeStudio();
        var wrong = studio.Potter.Token![..^6];
        for (var again = 0; again < Tries; again++)
        {
            using var limited = service.WithWebHostBuilder(b => b.UseSetting("KILNSHARE_RATE_PER_TOKEN", "0").UseSetting("KILNSHARE_RATE_ANONYMOUS", "10"));
            var client = limited.CreateClient();
            Task<Reply>[] Guess(int from) => [.. Enumerable.Range(from, 100).Select(i => new Caller(client, $"{wrong}{i:000000}").Get("/v1/me"))];
            var first = await Task.WhenAll(Guess(0));
            Assert.Contains(first, r => r.Status == HttpStatusCode.TooManyRequests);
            var meanwhile = Guess(100);
            foreach (var member in new[] { studio.Potter, studio.Viewer, studio.OtherPotter })
                (await new Caller(client, member.Token).Get("/v1/me")).Expect(HttpStatusCode.OK);
            Assert.All(await Task.WhenAll(meanwhile), r => r.Expect(HttpStatusCode.TooManyRequests));
        }
    }

    /// <summary>What a proxy says of where a request comes from counts where the settings name that proxy, and from nobody else.</summary>
    [Theory]
    [InlineData("127.0.0.1,::1", true)]
    [InlineData("127.0.0.0/8, ::1/128, ::ffff:127.0.0.0/104", true)]
    [InlineData("192.0.2.1", false)]
    [InlineData("", false)]
    public async Task Forwarded_addresses_count_from_named_proxies_only(string named, bool counts)
    {
        await using var behind = new Service(database)
        {
            Also = b => b.UseSetting("KILNSHARE_RATE_ANONYMOUS", "10").UseSetting("KILNSHARE_TRUSTED_PROXIES", named),
        };
        await behind.InitializeAsync();
        using var client = behind.OverSocket();
        for (var i = 0; i < 10; i++) Assert.Equal(HttpStatusCode.Unauthorized, await From("198.51.100.7"));
        Assert.Equal(HttpStatusCode.TooManyRequests, await From("198.51.100.7"));
        Assert.Equal(HttpStatusCode.TooManyRequests, await From("203.0.113.9, 198.51.100.7")); // the last one is what the proxy itself saw
        Assert.Equal(counts ? HttpStatusCode.Unauthorized : HttpStatusCode.TooManyRequests, await From("203.0.113.9"));

        async Task<HttpStatusCode> From(string address)
        {
            using var request = new HttpRequestMessage(HttpMethod.Get, "/v1/me");
            request.Headers.Add("X-Forwarded-For", address);
            using var response = await client.SendAsync(request, TestContext.Current.CancellationToken);
            return response.StatusCode;
        }
    }

    [Fact]
    public async Task A_request_that_takes_too_long_is_given_up()
    {
        var studio = await service.MakeStudio();
        using var hasty = service.WithWebHostBuilder(b => b.UseSetting("KILNSHARE_REQUEST_SECONDS", "1"));
        await using var blocker = new Npgsql.NpgsqlConnection(service.Links.Admin + ";Pooling=false");
        await blocker.OpenAsync(TestContext.Current.CancellationToken);
        await using var transaction = await blocker.BeginTransactionAsync(TestContext.Current.CancellationToken);
        await using (var hold = new Npgsql.NpgsqlCommand("lock table clay in access exclusive mode", blocker, transaction)) await hold.ExecuteNonQueryAsync(
            TestContext.Current.CancellationToken);
        var reply = (await new Caller(hasty.CreateClient(), studio.Viewer.Token).Get(studio.Path + "/clays")).Expect(HttpStatusCode.ServiceUnavailable);
        Assert.Equal("service.too-slow", reply.Code);
        Assert.NotNull(reply.Headers.RetryAfter);
    }

    /// <summary>The time is over while a refusal is being written: what was written of it is taken back, and one document is answered.</summary>
    [Fact]
    public async Task An_answer_that_the_time_limit_breaks_off_is_one_document()
    {
        var studio = await service.MakeStudio();
        await using var hasty = new Service(database)
        {
            Over = service.Links,
            Also = b => b.UseSetting("KILNSHARE_REQUEST_SECONDS", "1").ConfigureServices(s => s.AddSingleton(new Api.Access.TokenGuesses(600, new SlowTime()))),
        };
        await hasty.InitializeAsync();
        using var client = hasty.OverSocket();
        var reply = (await new Caller(client, studio.Potter.Token![..^4] + "AAAA").Get("/v1/me")).Expect(HttpStatusCode.ServiceUnavailable);
        Assert.Equal("service.too-slow", reply.Code); // reading it fails where a second document follows
    }

    /// <summary>Asked for the time, it takes longer than a request may.</summary>
    private sealed class SlowTime : TimeProvider
    {
        public override long GetTimestamp()
        {
            using var never = new ManualResetEventSlim();
            never.Wait(TimeSpan.FromSeconds(1.5));
            return base.GetTimestamp();
        }
    }

    [Fact]
    public async Task A_path_takes_its_own_methods_only_and_says_which()
    {
        var world = await World.Make(service);
        var (owner, cases) = (world.Studio.Owner, 0);
        foreach (var path in RouteUnderTest.All(service).GroupBy(r => r.Pattern, StringComparer.Ordinal))
        {
            var allowed = path.Select(r => r.Method).ToHashSet(StringComparer.Ordinal);
            if (allowed.Contains("GET")) allowed.Add("HEAD");
            foreach (var method in Methods.Where(m => !allowed.Contains(m.Method)))
            {
                var reply = await owner.Send(method, path.First().Path(name => world.Find(name) ?? World.Absent(name)));
                Assert.True(reply.Status == HttpStatusCode.MethodNotAllowed, $"{method} {path.Key}: {(int)reply.Status}");
                if (method != HttpMethod.Head) Assert.Equal("request.method", reply.Code);
                Assert.Equal(allowed.Order(StringComparer.Ordinal), reply.Allow.Order(StringComparer.Ordinal));
                cases++;
            }
        }

        Assert.True(cases > 250, $"{cases} cases");
    }

    [Theory]
    [InlineData("/v1/me", 200)]
    [InlineData("/v1/cones?series=nonsense", 400)]
    [InlineData("/v1/nothing", 404)]
    [InlineData("/v1/studios/..%2f..%2fetc", 400)]
    [InlineData("/health/live", 200)]
    [InlineData("/openapi/v1.json", 200)]
    [InlineData("/docs/index.html", 200)]
    public async Task Every_answer_carries_the_headers_of_the_house(string path, int status)
    {
        var studio = await service.MakeStudio();
        var reply = (await studio.Owner.Get(path)).Expect((HttpStatusCode)status);
        Assert.Equal("nosniff", reply.Headers.GetValues("X-Content-Type-Options").Single());
        Assert.Contains("frame-ancestors 'none'", reply.Headers.GetValues("Content-Security-Policy").Single(), StringComparison.Ordinal);
        Assert.Equal("no-referrer", reply.Headers.GetValues("Referrer-Policy").Single());
        Assert.True(reply.Headers.CacheControl!.Private && reply.Headers.CacheControl.NoCache);
        Assert.Contains("charset=utf-8", reply.ContentType!, StringComparison.OrdinalIgnoreCase);
        Assert.False(reply.Headers.Contains("Server"));
        Assert.False(reply.Headers.Contains("Access-Control-Allow-Origin"));
    }
}
