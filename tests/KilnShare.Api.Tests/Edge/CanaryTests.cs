using System.Collections.Concurrent;
using System.Diagnostics;
using System.Diagnostics.Metrics;
using System.Net;
using System.Text.RegularExpressions;
using KilnShare.Api.Tests.Bookings;
using KilnShare.Api.Tests.Common;
using KilnShare.Api.Tests.Document;
using Microsoft.AspNetCore.Hosting;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Npgsql;

namespace KilnShare.Api.Tests.Edge;

/// <summary>
/// Every text of one studio carries a mark. Whatever that studio does, and whatever goes wrong with it, no other studio ever sees the mark, and no log
/// line, event, figure or trace carries it or a token.
/// </summary>
public sealed partial class CanaryTests(TestDatabase database)
{
    private const string Canary = "Canary7Q";

    [Fact]
    public async Task What_a_studio_writes_is_seen_by_no_other_studio_and_stands_in_no_log()
    {
        var (lines, asked) = (new ConcurrentQueue<string>(), new ConcurrentQueue<Asked>());
        using var figures = new FigureWatch();
        await using var service = new Service(database)
        {
            IsFaulted = true,
            Also = host =>
            {
                StoryClock.Set(host);
                host.ConfigureLogging(l => l.SetMinimumLevel(LogLevel.Information))
                    .ConfigureServices(s => s.AddSingleton<ILoggerProvider>(p => new ConsoleLines(p, lines)));
            },
        };
        await service.InitializeAsync();
        var stranger = await service.MakeStudio();
        service.Through = () => new Marking(Canary, asked);
        await new Story(service, new Recorder(), new Marking(Canary, asked)).Tell();
        await Fail(service, lines);
        service.Through = null;

        Assert.True(asked.Count(
            a => a.Answer.Contains(Canary, StringComparison.Ordinal)) > 60, "The studio itself hardly sees its own texts: the mark is not where it should be.");
        Assert.Contains(asked, a => a.Status == 500);
        Assert.Contains(asked, a => a.Status == 400);
        Assert.Contains(asked, a => a.Status == 422);
        var replies = await AskAsStranger(stranger, asked);
        Assert.True(replies.Count > 200, $"{replies.Count} replies");
        Assert.All(replies, r => Assert.DoesNotContain(Canary, r, StringComparison.Ordinal));
        Assert.All(await Events(service.Links.Audit, null), row => Assert.DoesNotContain(Canary, row, StringComparison.Ordinal));
        Assert.NotEmpty(await Events(service.Links.App, stranger.Id));
        Assert.All(await Events(service.Links.App, stranger.Id), row => Assert.StartsWith(stranger.Id.ToString(), row, StringComparison.Ordinal));
        Assert.True(lines.Count > 200, $"{lines.Count} lines");
        Assert.Contains(lines, l => l.Contains("A job failed", StringComparison.Ordinal));
        var secrets = asked.SelectMany(a => Tokens().Matches(a.Answer)).Select(m => m.Value[3..]).Append(stranger.Owner.Token![3..])
            .Append(Service.InstallationToken).Distinct().ToList();
        Assert.True(secrets.Count > 5, $"{secrets.Count} tokens");
        foreach (var said in lines)
        {
            Assert.DoesNotContain(Canary, said, StringComparison.Ordinal);
            Assert.DoesNotContain(secrets, secret => said.Contains(secret, StringComparison.Ordinal));
        }

        Assert.Empty(figures.Offending);
        Assert.Contains(figures.Names, n => n.StartsWith("http.server", StringComparison.Ordinal));
        Assert.Contains(figures.Names, n => n.StartsWith("trace", StringComparison.Ordinal));
    }

    [GeneratedRegex("k[si]_[A-Za-z0-9_-]{40,}", RegexOptions.None, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Tokens();

    /// <summary>Refusals, bad bodies, a fault of the database in a request and one in a job, all over marked rows.</summary>
    private static async Task Fail(Service service, ConcurrentQueue<string> lines)
    {
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln(), 6_000);
        var (clay, glaze, path) = (await studio.MakeClay(), await studio.MakeGlaze(), $"{studio.Path}/firings/{firing}/bookings");
        async Task<object> Wants(Caller potter) =>
            new { pieces = new[] { new { pieceId = await studio.MakePiece(potter, clay, glaze, diameterMm: 400, heightMm: 560) } }, mayWait = true };
        var melts = await studio.MakePiece(studio.Potter, await studio.MakeClay("06", "02"), glaze);
        (await studio.Potter.Post(path, new { pieces = new[] { new { pieceId = melts } } })).Expect(HttpStatusCode.UnprocessableEntity);
        (await studio.Potter.Post(studio.Path + "/pieces", new { name = "\u0007", note = "?", heightMm = "tall" })).Expect(HttpStatusCode.BadRequest);
        (await studio.Technician.Post(studio.Path + "/clays", new { name = new string('n', 200), cones = new { from = "5", to = "7" } }))
            .Expect(HttpStatusCode.BadRequest);
        (await studio.Technician.Post($"/v1/cones?series={Canary}", new { reason = "x" })).Expect(HttpStatusCode.MethodNotAllowed);
        var first = TestStudio.IdOf(await studio.Potter.Post(path, await Wants(studio.Potter)));
        TestStudio.IdOf(await studio.OtherPotter.Post(path, await Wants(studio.OtherPotter)));
        // A row that breaks a check is told by the server with all its values.
        await VersionHistory.Run(service.Links.Owner, "alter table booked_copy add constraint planted check (state <> 'Confirmed') not valid");
        (await studio.Potter.Post($"{path}/{first}/withdrawal")).Expect(HttpStatusCode.OK);
        for (var tries = 0; tries < 600 && !lines.Any(l => l.Contains("A job failed", StringComparison.Ordinal)); tries++)
            await Task.Delay(100, TestContext.Current.CancellationToken);
        var fits = await studio.MakePiece(studio.Potter, clay, glaze);
        var other = await studio.MakeFiring(await studio.MakeKiln(), 6_001);
        Assert.Equal("service.failed", (await studio.Potter.Post($"{studio.Path}/firings/{other}/bookings", new { pieces = new[] { new { pieceId = fits } } }))
            .Expect(HttpStatusCode.InternalServerError).Code);
        await VersionHistory.Run(service.Links.Owner, "alter table booked_copy drop constraint planted");
    }

    /// <summary>Asks everything once more as another studio's owner: under the first one's path, and under its own with the first one's ids.</summary>
    private static async Task<IReadOnlyList<string>> AskAsStranger(TestStudio stranger, IEnumerable<Asked> asked)
    {
        var replies = new List<string>();
        foreach (var one in asked.Where(a => a.Path.StartsWith("/v1/studios/", StringComparison.Ordinal)))
        {
            var rest = one.Path.Split('/', 5);
            foreach (var path in new[] { one.Path, $"{stranger.Path}/{(rest.Length > 4 ? rest[4] : "")}".TrimEnd('/') })
            {
                var reply = await stranger.Owner.Send(
                    one.Method, path, one.Body, contentType: one.ContentType ?? "application/json", ifMatch: one.Method == HttpMethod.Post ? null : "*");
                // What only the installation may is refused before anybody looks whose studio it is.
                var wanted = one.Path.EndsWith("/owner-tokens", StringComparison.Ordinal) || one.Path.EndsWith("/closure", StringComparison.Ordinal)
                    ? HttpStatusCode.Unauthorized : HttpStatusCode.NotFound;
                Assert.True(path != one.Path || reply.Status == wanted, $"{one.Method} {path}: {(int)reply.Status}");
                replies.Add($"{string.Join(' ', reply.Headers.SelectMany(h => h.Value))} {reply.Text}");
            }
        }

        return replies;
    }

    /// <summary>What leaves the house, and the trail: all of it as the auditor sees it, or what a studio's connection sees.</summary>
    private static async Task<IReadOnlyList<string>> Events(string link, Guid? studio)
    {
        await using var connection = new NpgsqlConnection(link + ";Pooling=false");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        if (studio is not null)
        {
            await using var set = new NpgsqlCommand($"select set_config('kilnshare.studio', '{studio}', false)", connection);
            await set.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
        }

        await using var query = new NpgsqlCommand(
            "select studio_id || ' ' || o::text from outbox o union all select studio_id || ' ' || (to_jsonb(a) - 'reason')::text from audit a union all "
                + "select studio_id || ' ' || j::text from job j", connection);
        await using var row = await query.ExecuteReaderAsync(TestContext.Current.CancellationToken);
        var rows = new List<string>();
        while (await row.ReadAsync(TestContext.Current.CancellationToken)) rows.Add(row.GetString(0));
        return rows;
    }

    /// <summary>Every figure with its labels, and every trace with its tags, of everything in this process while it lives.</summary>
    private sealed class FigureWatch : IDisposable
    {
        private readonly MeterListener meters = new();
        private readonly ActivityListener traces;

        public FigureWatch()
        {
            meters.InstrumentPublished = (instrument, listener) => listener.EnableMeasurementEvents(instrument);
            meters.SetMeasurementEventCallback<double>((i, _, tags, _) => Note(i.Name, tags));
            meters.SetMeasurementEventCallback<long>((i, _, tags, _) => Note(i.Name, tags));
            meters.SetMeasurementEventCallback<int>((i, _, tags, _) => Note(i.Name, tags));
            meters.Start();
            traces = new ActivityListener
            {
                ShouldListenTo = source => source.Name != "System.Net.Http",
                Sample = (ref ActivityCreationOptions<ActivityContext> _) => ActivitySamplingResult.AllDataAndRecorded,
                ActivityStopped = activity => Note(
                    "trace " + activity.OperationName, [new("", activity.DisplayName), .. activity.TagObjects, .. activity.Events.SelectMany(e => e.Tags)]),
            };
            ActivitySource.AddActivityListener(traces);
        }

        /// <summary>What carried the mark or a token. The rest is not kept, since all of the process is heard.</summary>
        public ConcurrentQueue<string> Offending { get; } = new();

        /// <summary>The kinds of figures and traces that were heard.</summary>
        public IEnumerable<string> Names => names.Keys;

        private readonly ConcurrentDictionary<string, bool> names = new(StringComparer.Ordinal);

        public void Dispose()
        {
            meters.Dispose();
            traces.Dispose();
        }

        private void Note(string name, ReadOnlySpan<KeyValuePair<string, object?>> tags)
        {
            names.TryAdd(name, true);
            foreach (var tag in tags)
            {
                if (tag.Value?.ToString() is { } text && (text.Contains(Canary, StringComparison.Ordinal) || Tokens().IsMatch(text)))
                    Offending.Enqueue($"{name} {tag.Key}={text}");
            }
        }
    }
}
