using System.Data;
using System.Net;
using System.Text.Json.Nodes;
using KilnShare.Api.Common;
using KilnShare.Api.Tests.Access;
using KilnShare.Api.Tests.Common;
using KilnShare.Api.Tests.Document;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Studios;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.AspNetCore.Routing;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;

namespace KilnShare.Api.Tests.Hosting;

/// <summary>Who waits for a search, and who searches, keeps no connection from others; and what is answered when it takes too long.</summary>
public sealed class SearchGateTests(Service service) : IClassFixture<Service>
{
    private static readonly SearchCaller Stranger = new(Guid.AllBitsSet, Guid.AllBitsSet);

    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    /// <summary>The service has one connection to the database. While a call waits for its turn, somebody else reads over that one.</summary>
    [Fact]
    public async Task Every_call_that_waits_for_a_search_leaves_the_connection_to_others()
    {
        var world = await World.Make(service);
        var studio = world.Studio;
        var described = await studio.MakeKiln(ratedKw: 11.5m, wall: new[] { new { material = "firebrick23", thicknessMm = 76 } });
        var (past, piece) = (await PastFiring(
            studio, described), await studio.MakePiece(studio.Technician, world.Find("clayId")!.Value, world.Find("glazeId")!.Value));
        using var narrow = service.WithWebHostBuilder(
            b => b.UseSetting("KILNSHARE_DATABASE_APP", service.Links.App + ";Minimum Pool Size=0;Maximum Pool Size=1;Timeout=3"));
        var (asking, reader, places) = (new Caller(narrow.CreateClient(), studio.Technician.Token), new Caller(
            narrow.CreateClient(), studio.Viewer.Token), narrow.Services.GetRequiredService<SearchPlaces>());
        var searching = SearchingOperations(narrow);
        Assert.True(searching.Count >= 11, $"{searching.Count} calls search.");
        foreach (var route in RouteUnderTest.All(service).Where(r => searching.Contains(r.Operation)))
        {
            var path = route.Path(name => name switch { "firingId" => past, "kilnId" => described, _ => world.Find(name)!.Value });
            var body = route.Example is { } example ? world.Fill(example).ToJsonString() : null;
            await WaitsWithoutConnection(places.Calculations, () => asking.Send(new HttpMethod(route.Method), path, body), reader, route.ToString());
        }

        var bookings = $"{studio.Path}/firings/{world.Find("firingId")}/bookings";
        await WaitsWithoutConnection(places.Bookings, () => asking.Post(bookings, new { pieces = new[] { new { pieceId = piece } } }), reader, "a booking");
    }

    /// <summary>Eight of a studio stand in line. The ninth is sent away before anybody looks at what he sent, which is no JSON.</summary>
    [Fact]
    public async Task Where_the_line_is_full_a_call_that_searches_is_refused_before_its_body_is_read()
    {
        var world = await World.Make(service);
        var (studio, line) = (world.Studio, service.Services.GetRequiredService<SearchPlaces>().Calculations);
        var places = await FillAll(line);
        using var leaving = new CancellationTokenSource();
        var waiting = Enumerable.Range(0, 8).Select(_ => line.Enter(new SearchCaller(studio.Id, Guid.NewGuid()), leaving.Token)).ToList();
        foreach (var route in RouteUnderTest.All(service).Where(r => SearchingOperations(service).Contains(r.Operation)))
        {
            var path = route.Path(name => world.Find(name)!.Value);
            var reply = await studio.Technician.Send(new HttpMethod(route.Method), path, route.Method == "GET" ? null : "{");
            Assert.True(reply is { Status: HttpStatusCode.ServiceUnavailable, Code: "loading.search-busy" }, $"{route}: {(int)reply.Status} {reply.Text}");
        }

        await leaving.CancelAsync();
        foreach (var place in places) place.Dispose();
        foreach (var one in waiting) await Assert.ThrowsAnyAsync<OperationCanceledException>(() => one);
    }

    [Fact]
    public async Task Nobody_searches_with_a_transaction_open_or_a_connection_kept()
    {
        var studio = await service.MakeStudio();
        await using var scope = service.Services.CreateAsyncScope();
        var (gate, db, tokens) = (scope.ServiceProvider.GetRequiredService<SearchGate>(), scope.ServiceProvider.GetRequiredService<KilnShareDb>(),
            scope.ServiceProvider.GetRequiredService<TokenLookup>());
        var token = studio.Viewer.Token!;
        db.Studio = AccessToken.ReadStudio(token);
        Assert.NotNull(await tokens.Find(
            db.Studio!.Value, AccessToken.HashOf(token), NodaTime.SystemClock.Instance.GetCurrentInstant(), keepOpen: true, null, Cancellation));
        Assert.Equal(ConnectionState.Open, db.Database.GetDbConnection().State);
        Assert.Equal(ConnectionState.Closed, (await gate.Run(_ => db.Database.GetDbConnection().State, Cancellation)).Value);
        await using var transaction = await db.Database.BeginTransactionAsync(Cancellation);
        await Assert.ThrowsAsync<InvalidOperationException>(() => gate.Run(_ => 1, Cancellation));
        await Assert.ThrowsAsync<InvalidOperationException>(() => gate.Decide(() => "", Cancellation));
    }

    [Fact]
    public async Task A_booking_does_not_stand_behind_calculations()
    {
        var world = await World.Make(service);
        var piece = await world.Studio.MakePiece(world.Studio.Potter, world.Find("clayId")!.Value, world.Find("glazeId")!.Value);
        var places = await FillAll(service.Services.GetRequiredService<SearchPlaces>().Calculations);
        (await world.Studio.Potter.Post($"{world.Studio.Path}/firings/{world.Find("firingId")}/bookings", new { pieces = new[] { new { pieceId = piece } } }))
            .Expect(HttpStatusCode.Created);
        foreach (var place in places) place.Dispose();
    }

    /// <summary>The time of the request is over in the middle of a search: it is told so, and never a good answer that breaks off.</summary>
    [Theory]
    [InlineData("/v1/calculations/load-plan")]
    [InlineData("/v1/calculations/load-plan/picture")]
    [InlineData("/v1/calculations/load-series")]
    public async Task An_answer_is_whole_or_it_is_none(string path)
    {
        var studio = await service.MakeStudio();
        using var hasty = service.WithWebHostBuilder(b => b.UseSetting("KILNSHARE_REQUEST_SECONDS", "1"));
        var reply = (await new Caller(hasty.CreateClient(), studio.Viewer.Token).Post(path, Dear("milliseconds", 4_000)))
            .Expect(HttpStatusCode.ServiceUnavailable);
        Assert.Equal("service.too-slow", reply.Code);
    }

    [Fact]
    public async Task Iterations_that_are_not_done_in_time_are_refused_and_milliseconds_answer_with_the_best_so_far()
    {
        var studio = await service.MakeStudio();
        using var brief = service.WithWebHostBuilder(
            b => b.ConfigureServices(s => s.AddSingleton(new SearchPlaces { Longest = TimeSpan.FromMilliseconds(600) })));
        var viewer = new Caller(brief.CreateClient(), studio.Viewer.Token);
        foreach (var path in new[] { "/v1/calculations/load-plan", "/v1/calculations/load-plan/picture", "/v1/calculations/load-series" })
        {
            var late = (await viewer.Post(path, Dear("iterations", 400_000))).Expect(HttpStatusCode.ServiceUnavailable);
            Assert.Equal("loading.search-too-slow", late.Code);
            Assert.NotNull(late.Headers.RetryAfter);
        }

        var best = (await viewer.Post("/v1/calculations/load-plan", Dear("milliseconds", 1_500))).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("searchEnded", best.GetProperty("stopped").GetString());
        Assert.True(best.GetProperty("iterations").GetInt64() > 0);
    }

    [Theory]
    [InlineData("/v1/calculations/load-plan")]
    [InlineData("/v1/calculations/load-plan/picture")]
    [InlineData("/v1/calculations/load-series")]
    public async Task More_work_than_a_calculation_does_is_refused_with_how_much_it_does(string path)
    {
        var refused = (await (await service.MakeStudio()).Viewer.Post(path, Dear("iterations", 500_001))).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal(("loading.search-too-long", "/search/iterations"), (refused.Code, refused.Pointer));
        Assert.Contains("Ask for 500000 iterations or fewer.", refused.Body.GetProperty("detail").GetString(), StringComparison.Ordinal);
    }

    /// <summary>Two hundred pieces, twice as many as the kiln takes: a search that does not end by itself.</summary>
    internal static string Dear(string limit, int most)
    {
        var question = JsonNode.Parse(ContractExamples.LoadSeries)!.AsObject();
        question["pieces"] = new JsonArray([.. Enumerable.Range(0, 40).Select(i => (JsonNode)new JsonObject
        {
            ["id"] = $"p{i}",
            ["footprint"] = new JsonObject { ["kind"] = "circle", ["diameterMm"] = 61 + (i * 7 % 80) },
            ["heightMm"] = 40 + (i * 11 % 70),
            ["quantity"] = 5,
            ["priority"] = 1 + (i % 5),
        })]);
        question["search"] = new JsonObject { [limit] = most };
        return question.ToJsonString();
    }

    private static HashSet<string> SearchingOperations(WebApplicationFactory<Program> from) => from.Services.GetRequiredService<EndpointDataSource>().Endpoints
        .Where(e => e.Metadata.OfType<System.Reflection.MethodInfo>().Any(m => m.GetParameters().Any(p => p.ParameterType == typeof(SearchGate))))
        .Select(e => e.Metadata.GetMetadata<IEndpointNameMetadata>()!.EndpointName).ToHashSet(StringComparer.Ordinal);

    private static async Task WaitsWithoutConnection(SearchLine line, Func<Task<Reply>> ask, Caller reader, string what)
    {
        var places = await FillAll(line);
        var asked = ask();
        while (line.Waiting == 0)
        {
            Assert.False(asked.IsCompleted, $"{what} did not wait: {(asked.IsCompletedSuccessfully ? (await asked).Text : "")}");
            await Task.Delay(5, Cancellation);
        }

        var read = await reader.Get("/v1/me");
        Assert.True(read.Status == HttpStatusCode.OK, $"{what} keeps the connection while it waits: {read.Text}");
        foreach (var place in places) place.Dispose();
        var reply = await asked;
        Assert.True((int)reply.Status < 500, $"{what}: {(int)reply.Status} {reply.Text}");
    }

    private static async Task<List<IDisposable>> FillAll(SearchLine line)
    {
        var places = new List<IDisposable>();
        for (var i = 0; i < line.Places; i++) places.Add((await line.Enter(Stranger, Cancellation))!);
        return places;
    }

    /// <summary>A firing that is over, with a log.</summary>
    private static async Task<Guid> PastFiring(TestStudio studio, Guid kiln)
    {
        var start = DateTimeOffset.UtcNow.AddHours(-11);
        var firing = await studio.MakePastFiring(kiln, start);
        var path = $"{studio.Path}/firings/{firing}";
        var readings = Enumerable.Range(0, 40).Select(i => new { sequence = i, at = start.AddMinutes(i * 15).ToString("O"), temperature = 20 + (i * 30) });
        (await studio.Technician.Post(path + "/readings", new { readings })).Expect(HttpStatusCode.OK);
        await studio.Heat(firing.ToString());
        (await studio.Technician.Put(path + "/state", new { state = "cooling" })).Expect(HttpStatusCode.OK);
        return firing;
    }
}
