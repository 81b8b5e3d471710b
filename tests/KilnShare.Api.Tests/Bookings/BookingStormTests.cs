using System.Collections.Concurrent;
using System.Net;
using KilnShare.Api.Tests.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using KilnShare.Storage.Setup;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Npgsql;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>Many bookers at once: every committed version is clean, and broken variants of the protocol are caught by the same test.</summary>
public sealed class BookingStormTests(TestDatabase database)
{
    private const int Clients = 32;
    private const int Firings = 8;
    private const int TriesEach = 6;

    // Room is kept in firings to come only.
    private const int FarOff = 6_000;

    [Fact]
    public async Task Thirty_two_clients_on_eight_firings_leave_every_committed_version_clean()
    {
        var problems = await Storm(null, null);
        Assert.True(problems.Count == 0, string.Join("\n", problems.Take(10)));
    }

    [Fact]
    public async Task The_storm_catches_a_plan_published_without_its_version() => Assert.NotEmpty(await Storm(null, new PlantedBugs.ForgetsVersion()));

    [Fact]
    public async Task The_storm_catches_a_search_on_a_stale_read() => Assert.NotEmpty(await Storm(null, new PlantedBugs.ReadsStale()));

    [Fact]
    public async Task The_storm_catches_locks_taken_in_no_order() =>
        Assert.Contains(await Storm(null, new PlantedBugs.LocksInNoOrder()), p => p.Contains("deadlock", StringComparison.Ordinal));

    [Fact]
    public async Task The_storm_catches_a_database_without_the_wall_around_places() =>
        Assert.Contains(
            await Storm("alter table booked_copy drop constraint ex_booked_copy_place", null), p => p.Contains("sold twice", StringComparison.Ordinal));

    private async Task<IReadOnlyList<string>> Storm(string? breakDatabase, IInterceptor? breakCode)
    {
        await using var service = new Service(database)
        {
            Through = () => new Patient(),
            Also = host => host.UseSetting("KILNSHARE_REQUEST_SECONDS", "600"), // on a crowded machine one may wait long for one's turn
            IsFaulted = breakDatabase is not null || breakCode is not null,
        };
        await service.InitializeAsync();
        await VersionHistory.Begin(service.Links);
        if (breakDatabase is not null) await VersionHistory.Run(service.Links.Owner, breakDatabase);
        await using var broken = breakCode is null ? null : PlantedBugs.In(service, breakCode);
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var firings = new List<Guid>();
        for (var i = 0; i < Firings; i++) firings.Add(await studio.MakeFiring(kiln, FarOff + i));
        var problems = new ConcurrentBag<string>();
        // Two processes' worth: each has its own queue and gate, so that only the protocol keeps them apart.
        // They book as they come; only what they bring with them is made with patience.
        service.Through = null;
        var callers = new[] { service.As(
            studio.TechnicianToken), new Caller(Service.Unhurried((broken ?? service.Again()).CreateClient()), studio.TechnicianToken) };
        await Task.WhenAll(Enumerable.Range(0, Clients).Select(client => BookAll(studio, callers[client % 2], client, firings, clay, glaze, problems)));
        foreach (var problem in await ProblemsOf(service, kiln)) problems.Add(problem);
        if (await Deadlocks(service.Links) is > 0 and var deadlocks) problems.Add($"{deadlocks} deadlocks");
        service.IsFaulted = true;
        if (await SellsTwice(service.Links)) problems.Add("a place was sold twice");
        return [.. problems];
    }

    private static async Task BookAll(TestStudio studio, Caller caller, int client, List<Guid> firings, Guid clay, Guid glaze, ConcurrentBag<string> problems)
    {
        try
        {
            await Book(studio, caller, client, firings, clay, glaze, problems);
        }
        catch (TaskCanceledException)
        {
            problems.Add("a client gave up waiting for an answer");
        }
    }

    private static async Task Book(TestStudio studio, Caller caller, int client, List<Guid> firings, Guid clay, Guid glaze, ConcurrentBag<string> problems)
    {
        var random = new Random(client);
        var mine = new List<string>();
        for (var tries = 0; tries < TriesEach; tries++)
        {
            if (mine.Count > 1 && random.Next(3) == 0)
            {
                var withdrawn = await caller.Post(mine[^1] + "/withdrawal");
                if (withdrawn.Status is not (HttpStatusCode.OK or HttpStatusCode.ServiceUnavailable)) problems.Add("withdrawal: " + withdrawn.Text);
                mine.RemoveAt(mine.Count - 1);
                continue;
            }

            var firing = $"{studio.Path}/firings/{firings[random.Next(firings.Count)]}";
            if (random.Next(3) == 0)
            {
                await ReserveAndFill(studio, caller, random, firing, clay, glaze, problems);
                continue;
            }

            var piece = await studio.MakePiece(studio.Potter, clay, glaze, random.Next(1, 4), random.Next(60, 180), random.Next(60, 260));
            var path = firing + "/bookings";
            var reply = await caller.Post(path, new { pieces = new[] { new { pieceId = piece } } });
            if (reply.Status == HttpStatusCode.Created) mine.Add($"{path}/{reply.Body.GetProperty("id").GetGuid()}");
            else if (reply.Status is not (HttpStatusCode.UnprocessableEntity or HttpStatusCode.ServiceUnavailable))
                problems.Add("booking: " + reply.Text + (reply.Status == HttpStatusCode.InternalServerError ? ErrorLog.Last : ""));
        }
    }

    /// <summary>Keeps room, and books pieces into it that may be larger or more than it was kept for.</summary>
    private static async Task ReserveAndFill(
        TestStudio studio, Caller caller, Random random, string firing, Guid clay, Guid glaze, ConcurrentBag<string> problems)
    {
        var (diameterMm, heightMm) = (random.Next(60, 140), random.Next(60, 200));
        var reserve = await caller.Post(firing + "/reserves",
            new { room = new[] { new { footprint = TestStudio.Circle(diameterMm), heightMm, massG = 300, quantity = random.Next(1, 4) } } });
        if (reserve.Status is not (HttpStatusCode.Created or HttpStatusCode.UnprocessableEntity or HttpStatusCode.ServiceUnavailable))
            problems.Add("reserve: " + reserve.Text);
        if (reserve.Status != HttpStatusCode.Created || random.Next(4) == 0) return;
        var piece = await studio.MakePiece(
            studio.Technician, clay, glaze, random.Next(1, 4), diameterMm - 20 + random.Next(30), heightMm - 20 + random.Next(30));
        var filled = await caller.Post(
            firing + "/bookings", new { pieces = new[] { new { pieceId = piece } }, reserveId = reserve.Body.GetProperty("id").GetGuid() });
        if (filled.Status is not (HttpStatusCode.Created or HttpStatusCode.UnprocessableEntity or HttpStatusCode.ServiceUnavailable))
            problems.Add("filling: " + filled.Text + ErrorLog.Last);
    }

    private static async Task<IReadOnlyList<string>> ProblemsOf(Service service, Guid kilnId)
    {
        await using var source = KilnShareDb.Connect(service.Links.Audit);
        var options = new DbContextOptionsBuilder<KilnShareDb>();
        KilnShareDb.Configure(options, source);
        await using var db = new KilnShareDb(options.Options);
        var kiln = (await db.Set<Kiln>().IgnoreQueryFilters().ToListAsync(TestContext.Current.CancellationToken)).Single(k => k.Id.Value == kilnId);
        var aim = (await db.Set<Firing>().IgnoreQueryFilters().FirstAsync(TestContext.Current.CancellationToken)).Aim;
        return await VersionHistory.Problems(service.Links, aim, kiln.Making, kiln.Furniture);
    }

    /// <summary>How many transactions the server broke off because they waited for each other.</summary>
    private static async Task<long> Deadlocks(DatabaseLinks links)
    {
        await using var connection = new NpgsqlConnection(links.Admin + ";Pooling=false");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        // The figures of a connection reach the statistics when it falls idle, a second at the latest.
        await Task.Delay(1200, TestContext.Current.CancellationToken);
        await using var count = new NpgsqlCommand("select deadlocks from pg_stat_database where datname = current_database()", connection);
        return (long)(await count.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
    }

    /// <summary>Tries, past all code, to put a second copy where one stands.</summary>
    private static async Task<bool> SellsTwice(DatabaseLinks links)
    {
        const string Sql =
            """
            select set_config('kilnshare.studio', (select studio_id::text from version_history limit 1), false);
            update booked_copy w set shelf_no = c.shelf_no, x = c.x, y = c.y, core_x = c.core_x, core_y = c.core_y, core_radius = c.core_radius, stack_level = c.stack_level
            from (select * from booked_copy where state = 'Confirmed' order by booking_id limit 1) c
            where w.state = 'Confirmed' and w.firing_id = c.firing_id and w.booking_id <> c.booking_id;
            """;
        try
        {
            await VersionHistory.Run(links.Owner, Sql);
            return true;
        }
        catch (PostgresException e) when (e.SqlState == PostgresErrorCodes.ExclusionViolation)
        {
            return false;
        }
    }
}
