using System.Globalization;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using KilnShare.Api.Tests.Common;
using KilnShare.Storage.Setup;
using Npgsql;

namespace KilnShare.Api.Tests.Storage;

/// <summary>What studios wrote into the first release stays readable, and says the same.</summary>
public sealed class FirstReleaseTests(TestDatabase database, ITestOutputHelper output)
{
    // Where today's answers are meant to differ: the path asked, the place in the answer (empty: the whole answer or its status), and why.
    private static readonly (string Path, string Place, string Why)[] Meant =
    [
        (@".*/statement\.csv.*", "", "a statement's table says pieces, share, energy and price behind each line"),
        (@".*/years/\d+\.csv", "", "a year's table has a column for value added tax"),
        (".*/(bill|cost-split)", "/reasons/discount", "what a discount is taken off is said more closely"),
        (@".*/bill\.csv", "", "what a discount is taken off is said in the table too"),
        (".*/(cost-rules|cost-split)", "/(sentences|rules)(/.*)?", "the rules say whether a discount goes below the least charge"),
        (".*/pieces(/.*)?", @"(/items/\d+)?/layers/\d+/goesOnAt",
            "answers say before which firing a coat goes on (goesOnBefore); goesOnAt is still taken in requests"),
        (@".*/energy\.svg", "", "of a firing with totals only there is no curve to draw"),
        (".*/energy", "/forecast/(energyKwh|hours|halfWidthPercent|restsOnWords)",
            "a forecast goes by the ware that is booked, else by a load that fits the published logs"),
        (".*/energy-model", "/(halfWidthPercent|meanHalfWidthPercent|restsOnWords)", "the width before anything is learnt goes by the size of the kiln"),
        (@".*/calendar\.ics", "", "a calendar is stamped with the day, so that it is the same at every look"),
    ];

    // How many loads a proposal would make is left open where the search for it was not done in its time: a busy machine answers fewer.
    private static readonly (string Path, string Place) ByTheMachine = (".*/proposals", @"/firings/\d+/loads/\d+/(loads|leastLoads|copiesWithoutPlace)");

    // The first release answered these in the order in which the database happened to hold them; its firings came as they were written down, and come by their
    // start now.
    private static readonly (string Path, string Place)[] InAnyOrder = [(".*/load-plan", ".*/placements|/pieces"), (".*/uncollected.*", "/items"),
        (".*/firings", "/items")];

    [Fact]
    public async Task The_first_release_is_brought_to_now_answers_as_it_did_and_comes_back_from_a_backup()
    {
        var recorded = FirstRelease.Answers();
        Assert.True(recorded.Count > 500, $"Only {recorded.Count} answers are recorded.");
        var links = await database.Restore(FirstRelease.Sql());
        await DatabaseSetup.Migrate(links, TestContext.Current.CancellationToken);
        var now = await Ask(links, recorded);
        Tell(recorded, now, Meant);

        var again = await database.Restore(await database.Dump(links));
        await DatabaseSetup.Migrate(again, TestContext.Current.CancellationToken);
        Tell(now, await Ask(again, now), []);
    }

    [Fact]
    public void A_lost_field_another_value_and_a_missing_row_are_told_apart_from_a_field_more()
    {
        var was = JsonNode.Parse("""{"a":1,"b":[{"c":"x"},{"c":"y"}],"d":2.50}""");
        Assert.Empty(Differences(was, JsonNode.Parse("""{"d":2.5,"new":true,"b":[{"c":"x","more":1},{"c":"y"}],"a":1}""")));
        Assert.Equal(["/a"], Differences(was, JsonNode.Parse("""{"b":[{"c":"x"},{"c":"y"}],"d":2.5}""")).Select(d => d.Place));
        Assert.Equal(["/b/1/c"], Differences(was, JsonNode.Parse("""{"a":1,"b":[{"c":"x"},{"c":"z"}],"d":2.5}""")).Select(d => d.Place));
        Assert.Equal(["/b"], Differences(was, JsonNode.Parse("""{"a":1,"b":[{"c":"x"}],"d":2.5}""")).Select(d => d.Place));
        Assert.Equal(["/b/0/c", "/b/1/c"], Differences(was, JsonNode.Parse("""{"a":1,"b":[{"c":"y"},{"c":"x"}],"d":2.5}""")).Select(d => d.Place));
        Assert.Equal(["/a"], Differences(was, JsonNode.Parse("""{"a":null,"b":[{"c":"x"},{"c":"y"}],"d":2.5}""")).Select(d => d.Place));
    }

    [Fact]
    public async Task A_program_refuses_tables_that_a_newer_one_has_changed()
    {
        var links = await database.Clone();
        await using (var admin = new NpgsqlConnection(links.Admin + ";Pooling=false"))
        {
            await admin.OpenAsync(TestContext.Current.CancellationToken);
            await using var plant = new NpgsqlCommand(
                "insert into \"__EFMigrationsHistory\" (migration_id, product_version) values ('29990101000000_KilnsOnTheMoon', '99.0.0')", admin);
            await plant.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
        }

        foreach (var start in new[] { () => DatabaseSetup.Migrate(links, TestContext.Current.CancellationToken), () =>
            DatabaseSetup.CheckTables(links.App, TestContext.Current.CancellationToken) })
        {
            var refused = await Assert.ThrowsAsync<InvalidOperationException>(start);
            Assert.Contains("29990101000000_KilnsOnTheMoon", refused.Message, StringComparison.Ordinal);
            Assert.Contains("Start the newer program", refused.Message, StringComparison.Ordinal);
            Assert.Contains("restore a backup", refused.Message, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task A_service_without_set_up_rights_refuses_tables_that_are_not_there_or_older()
    {
        foreach (var links in new[] { await database.Empty(), await database.Restore(FirstRelease.Sql()) })
        {
            var refused = await Assert.ThrowsAsync<InvalidOperationException>(
                () => DatabaseSetup.CheckTables(links.App, TestContext.Current.CancellationToken));
            Assert.Contains("--migrate", refused.Message, StringComparison.Ordinal);
            await DatabaseSetup.Migrate(links, TestContext.Current.CancellationToken);
            await DatabaseSetup.CheckTables(links.App, TestContext.Current.CancellationToken);
        }
    }

    private async Task<IReadOnlyList<RecordedAnswer>> Ask(DatabaseLinks links, IReadOnlyList<RecordedAnswer> questions)
    {
        await using var service = await FirstRelease.Serve(database, links); // whose end looks at the invariants
        var answers = new List<RecordedAnswer>();
        foreach (var some in questions.Chunk(4)) answers.AddRange(await Task.WhenAll(some.Select(q => FirstRelease.Ask(service, q))));
        return answers;
    }

    private void Tell(IReadOnlyList<RecordedAnswer> were, IReadOnlyList<RecordedAnswer> are, (string Path, string Place, string Why)[] meant)
    {
        var (found, used) = (new List<string>(), new HashSet<string>(StringComparer.Ordinal));
        foreach (var (was, now) in were.Zip(are))
        {
            var differences = was.Status == now.Status
                ? Differences(was.Body, now.Body, "", Unordered(was.Path)) : [("", $"was {was.Status}, is {now.Status} {now.Body}")];
            foreach (var (place, what) in differences.Where(d => !(Matches(was.Path, ByTheMachine.Path) && Matches(d.Place, ByTheMachine.Place))))
            {
                var why = meant.FirstOrDefault(m => Matches(was.Path, m.Path) && Matches(place, m.Place)).Why;
                if (why is null) found.Add($"{was.Path} {place}: {what}");
                else used.Add(why);
            }
        }

        output.WriteLine($"{were.Count} answers compared, {found.Count} differences, {used.Count} kinds of them meant");
        Assert.True(found.Count == 0, $"{found.Count} differences:\n" + string.Join("\n", found.Take(40)));
        Assert.Empty(meant.Select(m => m.Why).Except(used, StringComparer.Ordinal));
    }

    private static string? Unordered(string path) => InAnyOrder.FirstOrDefault(o => Matches(path, o.Path)).Place;

    private static bool Matches(string text, string pattern) =>
        Regex.IsMatch(text, $"^(?:{pattern})$", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture, TimeSpan.FromSeconds(1));

    /// <summary>Where an answer no longer says what it said; what it says besides is no difference.</summary>
    private static IReadOnlyList<(string Place, string What)> Differences(JsonNode? was, JsonNode? now, string place = "", string? unordered = null) =>
        (was, now) switch
        {
            (JsonObject then, JsonObject today) => [.. then.SelectMany(f => today.TryGetPropertyValue(f.Key, out var value) || f.Value is null
            ? Differences(f.Value, value, $"{place}/{f.Key}", unordered)
            : [($"{place}/{f.Key}", $"was {f.Value.ToJsonString()}, is gone")])],
            (JsonArray then, JsonArray today) when then.Count == today.Count => InLists(then, today, place, unordered),
            (JsonValue then, JsonValue today) when Text(then) == Text(today) => [],
            (null, null) => [],
            _ => [(place, $"was {was?.ToJsonString() ?? "null"}, is {now?.ToJsonString() ?? "null"}")],
        };

    private static IReadOnlyList<(string Place, string What)> InLists(JsonArray was, JsonArray now, string place, string? unordered)
    {
        IReadOnlyList<(string, string)> inOrder = [.. was.SelectMany((item, i) => Differences(item, now[i], $"{place}/{i}", unordered))];
        if (inOrder.Count == 0 || unordered is null || !Matches(place, unordered)) return inOrder;
        var left = now.ToList();
        foreach (var item in was)
        {
            var same = left.FindIndex(other => Differences(item, other).Count == 0);
            if (same < 0) return inOrder;
            left.RemoveAt(same);
        }

        return [];
    }

    // 2.50 and 2.5 are one number.
    private static string Text(JsonValue value) =>
        value.GetValueKind() == System.Text.Json.JsonValueKind.Number && value.TryGetValue<decimal>(out var number)
            ? number.ToString("G29", CultureInfo.InvariantCulture) : value.ToJsonString();
}
