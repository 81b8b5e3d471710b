using System.Net;
using KilnShare.Api.Common;
using KilnShare.Api.Tests.Common;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;

namespace KilnShare.Api.Tests.Edge;

/// <summary>A retry is answered as the first try was, also while that one is under way, and does nothing a second time.</summary>
public sealed class RetryTests(Service service) : IClassFixture<Service>
{
    private const int AtOnce = 8;

    /// <summary>POSTs that take no key, each with why.</summary>
    private static readonly Dictionary<string, string> WithoutKey = new(StringComparer.Ordinal)
    {
        ["createStudio"] = "whoever runs the installation is no member, and keys are kept for members",
        ["createOwnerToken"] = "whoever runs the installation is no member, and keys are kept for members",
        ["rotateInstallationToken"] = "whoever runs the installation is no member, and keys are kept for members",
        ["createReadings"] = "each reading is stored once, by its number, however often it is sent",
        ["createReadingsFromCsv"] = "each reading is stored once, by its number or its line, however often the file is sent",
        ["planLoadAnew"] = "a plan that stands on the furniture that exists is left as it is, so it may be asked twice",
        ["quoteFiring"] = "stores nothing",
        ["planNextTests"] = "stores nothing",
    };

    // What the first release refused to do without a key.
    private static readonly string[] Needing =
    [
        "createBooking", "reserveRoom", "createMeterReading", "createMeterReadings", "createPayment", "createIncident", "settleFiring", "correctSettlement",
            "correctFiring",
    ];

    [Fact]
    public void Every_post_takes_a_key_or_says_why_not()
    {
        var posts = service.Services.GetRequiredService<EndpointDataSource>().Endpoints.OfType<RouteEndpoint>()
            .Where(e => e.Metadata.GetMetadata<IHttpMethodMetadata>()?.HttpMethods.Contains("POST") == true
                && !e.RoutePattern.RawText!.Contains("/calculations/", StringComparison.Ordinal))
            .ToDictionary(e => e.Metadata.GetMetadata<IEndpointNameMetadata>()!.EndpointName, e => e.Metadata.GetMetadata<KeyUse>(), StringComparer.Ordinal);
        Assert.True(posts.Count >= 30, $"Only {posts.Count} POSTs were found.");
        Assert.Equal(WithoutKey.Keys.Order(StringComparer.Ordinal), posts.Where(p => p.Value is null).Select(p => p.Key).Order(StringComparer.Ordinal));
        Assert.Equal(Needing.Order(StringComparer.Ordinal), posts.Where(p => p.Value is { IsNeeded: true }).Select(p => p.Key).Order(StringComparer.Ordinal));
    }

    [Fact]
    public async Task Tries_of_a_piece_at_the_same_moment_make_one() => await Race(async (studio, clay, _, _, round) => (
        $"{studio.Path}/pieces",
            new { name = $"bowl {round}", mark = $"R{round}", footprint = TestStudio.Circle(90), heightMm = 60, clayId = clay, stage = "bisque" },
        await Task.FromResult($"{studio.Path}/pieces?mark=R{round}")));

    [Fact]
    public async Task Tries_of_a_payment_at_the_same_moment_make_one() => await Race(async (studio, _, _, _, round) =>
    {
        var (member, _) = await studio.Add(service, $"Payer {round}", "potter");
        return ($"{studio.Path}/payments", new { memberId = member, kind = "payment", amountMinor = 100 + round, reason = "cash" },
            $"{studio.Path}/payments?memberId={member}");
    });

    [Fact]
    public async Task Tries_of_a_booking_at_the_same_moment_make_one() => await Race(async (studio, clay, glaze, kiln, round) =>
    {
        var path = $"{studio.Path}/firings/{await studio.MakeFiring(kiln, round)}/bookings";
        return (path, new { pieces = new[] { new { pieceId = await studio.MakePiece(studio.Owner, clay, glaze) } } }, path);
    });

    [Fact]
    public async Task Tries_of_a_booking_that_waits_make_one() => await Race(async (studio, clay, glaze, kiln, round) =>
    {
        var path = $"{studio.Path}/firings/{await studio.MakeFiring(kiln, round)}/bookings";
        foreach (var potter in new[] { studio.Potter, studio.OtherPotter })
            TestStudio.IdOf(await potter.Post(path,
                new { pieces = new[] { new { pieceId = await studio.MakePiece(potter, clay, glaze, diameterMm: 400, heightMm: 560) } }, mayWait = true }));
        return (path, new
        {
            pieces = new[] { new { pieceId = await studio.MakePiece(studio.Owner, clay, glaze, diameterMm: 400, heightMm: 560) } },
            mayWait = true
        }, $"{studio.Path}/bookings?memberId={studio.OwnerId}&limit=200");
    }, rowsEachRound: true);

    [Fact]
    public async Task Tries_of_a_withdrawal_get_one_answer()
    {
        var studio = await service.MakeStudio();
        var (kiln, clay, glaze) = (await studio.MakeKiln(), await studio.MakeClay(), await studio.MakeGlaze());
        var path = $"{studio.Path}/firings/{await studio.MakeFiring(kiln)}/bookings";
        for (var round = 0; round < Races.Tries; round++)
        {
            var booking = TestStudio.IdOf(
                await studio.Owner.Post(path, new { pieces = new[] { new { pieceId = await studio.MakePiece(studio.Owner, clay, glaze) } } }));
            OneAnswer(await Tries(studio, $"{path}/{booking}/withdrawal", null, $"back {round}"), HttpStatusCode.OK);
        }
    }

    [Fact]
    public async Task A_retry_is_told_where_the_thing_is_and_its_version_and_that_it_is_a_retry()
    {
        var studio = await service.MakeStudio();
        var body = new { name = "stoneware", cones = new { from = "5", to = "7" } };
        var first = (await studio.Technician.Post($"{studio.Path}/clays", body, "clay")).Expect(HttpStatusCode.Created);
        var again = (await studio.Technician.Post($"{studio.Path}/clays", body, "clay")).Expect(HttpStatusCode.Created);
        Assert.Equal((first.Text, first.Headers.Location, first.Headers.ETag), (again.Text, again.Headers.Location, again.Headers.ETag));
        Assert.NotNull(again.Headers.Location);
        Assert.NotNull(again.Headers.ETag);
        Assert.False(first.Headers.Contains("Idempotent-Replayed"));
        Assert.Equal("true", again.Headers.GetValues("Idempotent-Replayed").Single());
        Assert.Equal("request.idempotency-key-reused", (await studio.Technician.Post($"{studio.Path}/glazes", body, "clay"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("request.idempotency-key-reused", (await studio.Technician.Post(
            $"{studio.Path}/clays", new { name = "porcelain", cones = new { from = "5", to = "7" } }, "clay")).Expect(HttpStatusCode.UnprocessableEntity).Code);
        // Another member's key is another key, and without one each try is its own.
        Assert.NotEqual(TestStudio.IdOf(first), TestStudio.IdOf(await studio.Owner.Post($"{studio.Path}/clays", body, "clay")));
        Assert.NotEqual(TestStudio.IdOf(
            await studio.Owner.Post($"{studio.Path}/clays", body, "")), TestStudio.IdOf(await studio.Owner.Post($"{studio.Path}/clays", body, "")));
    }

    [Fact]
    public async Task A_refused_try_leaves_its_key_free()
    {
        var studio = await service.MakeStudio();
        var clay = await studio.MakeClay();
        object Bowl(Guid of) => new { name = "bowl", footprint = TestStudio.Circle(90), heightMm = 60, clayId = of, stage = "bisque" };
        Assert.Equal("pieces.no-such-clay", (await studio.Potter.Post($"{studio.Path}/pieces", Bowl(Guid.NewGuid()), "bowl"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        TestStudio.IdOf(await studio.Potter.Post($"{studio.Path}/pieces", Bowl(clay), "bowl"));
    }

    [Fact]
    public async Task A_firing_whose_time_is_taken_is_refused_in_words_also_under_a_key()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        await studio.MakeFiring(kiln, 4, accepting: false);
        var body = new { kilnId = kiln, kind = "glaze", cone = "6", startsAt = DateTimeOffset.UnixEpoch.AddDays(28_212), firingHours = 11, coolingHours = 20 };
        Assert.Equal("kilns.time-taken", (await studio.Technician.Post($"{studio.Path}/firings", body, "firing")).Expect(HttpStatusCode.Conflict).Code);
    }

    [Fact]
    public async Task Of_a_token_a_retry_is_told_the_id_and_never_the_secret()
    {
        var studio = await service.MakeStudio();
        var path = $"{studio.Path}/members/{studio.PotterId}/tokens";
        var tries = await Tries(studio, path, new { label = "phone" }, "token");
        Assert.All(tries, t => t.Expect(HttpStatusCode.Created));
        var secrets = tries.Select(t => t.Body.GetProperty("token").GetString()).ToList();
        Assert.Single(secrets.OfType<string>());
        Assert.Single(tries.Select(t => t.Body.GetProperty("id").GetGuid()).Distinct());
        Assert.Equal(2, (await studio.Owner.Get(path)).Body.GetProperty("items").GetArrayLength());
        Assert.Equal(0, await Asking.Number(
            service.Links.Admin, $"select count(*) from idempotency where position('{secrets.OfType<string>().Single()}' in body) > 0"));
    }

    /// <summary>Round after round, a thing is tried eight times at once through two services: one is made, and all are told of it alike.</summary>
    private async Task Race(Func<TestStudio, Guid, Guid, Guid, int, Task<(string Path, object Body, string List)>> make, bool rowsEachRound = false)
    {
        var studio = await service.MakeStudio();
        var (clay, glaze, kiln) = (await studio.MakeClay(), await studio.MakeGlaze(), await studio.MakeKiln());
        for (var round = 0; round < Races.Tries; round++)
        {
            var (path, body, list) = await make(studio, clay, glaze, kiln, round);
            OneAnswer(await Tries(
                studio, path, body, $"key {round}".Replace(' ', '-')), HttpStatusCode.Created, located: !path.EndsWith("/payments", StringComparison.Ordinal));
            Assert.Equal(rowsEachRound ? round + 1 : 1, (await studio.Owner.Get(list)).Expect(HttpStatusCode.OK).Body.GetProperty("items").GetArrayLength());
        }
    }

    private static void OneAnswer(Reply[] tries, HttpStatusCode status, bool located = false)
    {
        Assert.All(tries, t => t.Expect(status));
        Assert.Single(tries.Select(t => (t.Text, t.Headers.Location, t.Headers.ETag)).Distinct());
        Assert.Equal(located, tries[0].Headers.Location is not null);
        Assert.Single(tries, t => !t.Headers.Contains("Idempotent-Replayed"));
    }

    private async Task<Reply[]> Tries(TestStudio studio, string path, object? body, string key)
    {
        other ??= service.Again();
        Caller[] callers = [studio.Owner, new Caller(other.CreateClient(), studio.Owner.Token)];
        return await Races.AtOnce(Enumerable.Range(0, AtOnce).Select(i => (Func<Task<Reply>>)(() => callers[i % 2].Post(path, body, key.Replace(' ', '-')))));
    }

    private Microsoft.AspNetCore.Mvc.Testing.WebApplicationFactory<Program>? other;
}
