using System.Collections.Concurrent;
using System.Net;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Hosting;

/// <summary>
/// Sessions that are ended, a server that restarts, a leader that is one no more: 503 for a while, never 500, and nothing acknowledged is lost.
/// </summary>
public sealed class DatabaseAwayTests(TestDatabase database)
{
    private static int Rounds => Races.Tries;

    [Fact]
    public async Task Sessions_that_are_ended_under_load_give_503_and_never_500()
    {
        await using var service = new Service(database);
        await service.InitializeAsync();
        var load = await Load.Start(service);
        await using (var admin = new NpgsqlConnection(new NpgsqlConnectionStringBuilder(service.Links.Admin) { Pooling = false }.ConnectionString))
        {
            await admin.OpenAsync(TestContext.Current.CancellationToken);
            for (var round = 0; round < Rounds; round++)
            {
                await load.UntilMore();
                await using var end = new NpgsqlCommand(
                    "select pg_terminate_backend(pid) from pg_stat_activity where datname = current_database() and pid <> pg_backend_pid()", admin);
                await end.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
            }
        }

        await load.End();
    }

    [Fact]
    public async Task A_server_that_restarts_under_load_gives_503_and_never_500_and_loses_nothing()
    {
        await using var own = await OwnCluster.Start();
        await using var service = new Service(database) { Over = own.Links };
        await service.InitializeAsync();
        var load = await Load.Start(service);
        for (var round = 0; round < 3; round++)
        {
            await load.UntilMore();
            await own.Stop();
            await Task.Delay(300, TestContext.Current.CancellationToken);
            await own.StartAgain();
        }

        await load.End();
    }

    [Fact]
    public async Task A_leader_that_takes_no_writes_for_a_while_gives_503_and_is_written_to_again_without_a_restart()
    {
        await using var service = new Service(database) { DoesJobs = false };
        await service.InitializeAsync();
        var studio = await service.MakeStudio();
        var name = new NpgsqlConnectionStringBuilder(service.Links.Admin).Database;
        await Run(database.Admin,
            $"alter database {name} set default_transaction_read_only = on; select pg_terminate_backend(pid) from pg_stat_activity where datname = '{name}'");
        // Several sessions that begin while it is read-only, so that the pool holds them.
        (await Retry(() => studio.Owner.Get(studio.Path))).Expect(HttpStatusCode.OK);
        await Task.WhenAll(Enumerable.Range(0, 8).Select(_ => studio.Owner.Get(studio.Path + "/payments")));
        var refused = (await Pay(studio, "a")).Expect(HttpStatusCode.ServiceUnavailable);
        Assert.Equal("service.busy", refused.Code);
        Assert.NotNull(refused.Headers.RetryAfter);
        Assert.Contains("same Idempotency-Key", refused.Text, StringComparison.Ordinal);
        var withoutKey = (await studio.Owner.Post(studio.Path + "/members", new { name = "Nora", role = "potter" }, ""))
            .Expect(HttpStatusCode.ServiceUnavailable);
        Assert.DoesNotContain("Idempotency-Key", withoutKey.Text, StringComparison.Ordinal);
        await Task.WhenAll(Enumerable.Range(0, 8).Select(_ => studio.Owner.Get(studio.Path + "/payments")));

        await Run(database.Admin, $"alter database {name} reset default_transaction_read_only");
        // The first may still meet a session of before; it drops the pool, and the next one is new.
        await Pay(studio, "b");
        (await Pay(studio, "c")).Expect(HttpStatusCode.Created);
    }

    private static Task<Reply> Pay(TestStudio studio, string key) =>
        studio.Owner.Post(studio.Path + "/payments", new { memberId = studio.PotterId, kind = "payment", amountMinor = 100, reason = key }, key);

    /// <summary>Asks once more where a session was ended under the first.</summary>
    private static async Task<Reply> Retry(Func<Task<Reply>> ask) =>
        await ask() is { Status: not HttpStatusCode.ServiceUnavailable } good ? good : await ask();

    private static async Task Run(string link, string sql)
    {
        await using var connection = new NpgsqlConnection(link + ";Pooling=false");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        await using var command = new NpgsqlCommand(sql, connection);
        await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
    }

    /// <summary>Clients that read, write members and pay under keys until told to end; each payment is tried until it is acknowledged.</summary>
    private sealed class Load(TestStudio studio)
    {
        private const int Clients = 6;
        private readonly ConcurrentBag<string> acknowledged = [];
        private readonly ConcurrentDictionary<int, int> statuses = new();
        private readonly ConcurrentQueue<string> wrong = new();
        private Task clients = Task.CompletedTask;
        private volatile bool ends;

        public static async Task<Load> Start(Service service)
        {
            var load = new Load(await service.MakeStudio());
            load.clients = Task.WhenAll(Enumerable.Range(0, Clients).Select(load.Client));
            return load;
        }

        /// <summary>Returns once some more payments were acknowledged.</summary>
        public async Task UntilMore()
        {
            for (var before = acknowledged.Count; acknowledged.Count < before + Clients; await Task.Delay(10, TestContext.Current.CancellationToken))
                Assert.False(clients.IsCompleted, string.Join("\n", wrong) + ErrorLog.Unexpected);
        }

        /// <summary>Ends the clients, and looks at what they were told.</summary>
        public async Task End()
        {
            await UntilMore();
            ends = true;
            await clients;
            TestContext.Current.TestOutputHelper?.WriteLine(
                string.Join(", ", statuses.OrderBy(s => s.Key).Select(s => $"{s.Value} × {s.Key}")) + $"; {acknowledged.Count} payments acknowledged");
            Assert.True(wrong.IsEmpty, string.Join("\n", wrong.Take(5)) + ErrorLog.Unexpected);
            Assert.True(statuses.ContainsKey(503), "Nothing was away, so this proves nothing.");
            var listed = new List<string>();
            for (string? after = null; ;)
            {
                var page = (await studio.Owner.Get($"{studio.Path}/payments?limit=200{(after is null ? "" : "&after=" + after)}"))
                    .Expect(HttpStatusCode.OK).Body;
                listed.AddRange(page.GetProperty("items").EnumerateArray().Select(p => p.GetProperty("reason").GetString()!));
                if ((after = page.GetProperty("next").GetString()) is null) break;
            }

            Assert.Equal(listed.Count, listed.Distinct(StringComparer.Ordinal).Count());
            Assert.Empty(acknowledged.Except(listed, StringComparer.Ordinal));
        }

        private async Task Client(int client)
        {
            for (var n = 0; !ends; n++)
            {
                var reason = $"{client}-{n}";
                while (See(await Pay(studio, reason)).Status != HttpStatusCode.Created)
                {
                    if (ends || !wrong.IsEmpty) return;
                    await Task.Delay(20, TestContext.Current.CancellationToken);
                }

                acknowledged.Add(reason);
                See(await studio.Owner.Get(studio.Path));
                See(await studio.Owner.Get($"{studio.Path}/members/{studio.PotterId}"));
                See(await studio.Owner.Get(studio.Path + "/accounts"));
                See(await studio.Technician.Post(
                    studio.Path + "/tariffs", new { name = reason, currency = "EUR", periods = new[] { new { name = "all", perKwh = "0.3" } } }));
            }
        }

        private Reply See(Reply reply)
        {
            statuses.AddOrUpdate((int)reply.Status, 1, (_, n) => n + 1);
            if ((int)reply.Status is >= 500 and not 503 || (reply.Status == HttpStatusCode.ServiceUnavailable && reply.Headers.RetryAfter is null))
                wrong.Enqueue($"{(int)reply.Status} {reply.Text}");
            return reply;
        }
    }
}
