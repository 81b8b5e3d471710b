using System.Globalization;
using System.Net;
using System.Text;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Costs;

public sealed class ClosingTests(Service service, TestDatabase database) : IClassFixture<Service>
{
    private const string Within = "2026-01-20T12:00:00Z";
    private const string After = "2026-02-02T12:00:00Z";

    [Fact]
    public async Task A_closed_month_takes_no_entry_whoever_writes_it_and_the_next_one_does()
    {
        var studio = await CostStudio.Make(service);
        await Write(studio, studio.Studio.PotterId, Within);
        var closed = (await Close(studio, "2026-01")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal((1L, 500m, "2026-01-31T23:00:00Z"),
            (closed.GetProperty("entries").GetInt64(), closed.GetProperty("amountMinor").GetDecimal(), closed.GetProperty("closedUntil").GetString()));
        var refused = await Assert.ThrowsAsync<PostgresException>(() => Write(studio, studio.Studio.PotterId, Within));
        Assert.Equal(("23514", "ck_ledger_entry_month_open"), (refused.SqlState, refused.ConstraintName));
        refused = await Assert.ThrowsAsync<PostgresException>(() => Write(studio, studio.Studio.PotterId, "2025-12-31T12:00:00Z"));
        Assert.Equal("ck_ledger_entry_month_open", refused.ConstraintName);
        await Write(studio, studio.Studio.PotterId, After);
    }

    // The studio's clocks go by Europe/Berlin, UTC+1 in winter (IANA time zone database): its January ends at 23:00 UTC.
    [Theory]
    [InlineData("2026-01-31T22:59:59Z", false)]
    [InlineData("2026-01-31T23:00:00Z", true)]
    public async Task A_month_ends_by_the_studios_clock(string at, bool open)
    {
        var studio = await CostStudio.Make(service);
        (await Close(studio, "2026-01")).Expect(HttpStatusCode.OK);
        if (open) await Write(studio, studio.Studio.PotterId, at);
        else await Assert.ThrowsAsync<PostgresException>(() => Write(studio, studio.Studio.PotterId, at));
    }

    [Fact]
    public async Task Statements_of_a_closed_month_stay_as_they_are_to_the_byte_in_every_form()
    {
        var studio = await CostStudio.Make(service);
        var firing = await studio.Settled();
        var mira = studio.Studio.PotterId;
        await Backdate(studio, "2026-01-20T12:00:00Z");
        await studio.Pay(mira, "payment", 300, "=1+1");
        await Backdate(studio, "2026-01-21T12:00:00Z");
        (await Close(studio, "2026-01")).Expect(HttpStatusCode.OK);
        var before = await Papers(studio, mira);
        Assert.Contains("Round top-loader", before[0], StringComparison.Ordinal);
        Assert.Contains("Mira", before[0], StringComparison.Ordinal);

        (await studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/settlement/corrections", new { energyKwh = 20, reason = "misread" }))
            .Expect(HttpStatusCode.Created);
        await studio.Pay(mira, "charge", 900);
        await Edit(studio.Studio.Owner, $"{studio.Path}/members/{mira}", new { name = "Mira of the hill" });
        await Edit(studio.Studio.Technician, $"{studio.Path}/kilns/{studio.Kiln}", new { name = "Old round one" });
        await Edit(studio.Studio.Owner, studio.Path, new { name = "Another name", timeZone = "America/New_York" });
        (await Close(studio, "2026-02")).Expect(HttpStatusCode.OK);

        Assert.Equal(before, await Papers(studio, mira));
        var open = (await studio.Statement(studio.Studio.Owner, mira, "2026-01-01", "2090-01-01")).Expect(HttpStatusCode.OK);
        Assert.Contains("Old round one", open.Text, StringComparison.Ordinal);
        Assert.Contains("Mira of the hill", open.Text, StringComparison.Ordinal);
        Assert.DoesNotContain(await InvariantTests.Broken(service), rule => rule != "ledger-subject-missing");
    }

    [Fact]
    public async Task A_correction_of_a_closed_month_goes_into_the_open_one()
    {
        var studio = await CostStudio.Make(service);
        var firing = await studio.Settled();
        await Backdate(studio, Within);
        (await Close(studio, "2026-01")).Expect(HttpStatusCode.OK);
        var mira = studio.Studio.PotterId;
        var closing = (await studio.Statement(studio.Studio.Owner, mira, "2026-01-01", "2026-02-01")).Body.GetProperty("closingMinor").GetInt64();
        (await studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/settlement/corrections", new { energyKwh = 20, reason = "misread" }))
            .Expect(HttpStatusCode.Created);
        var later = (await studio.Statement(studio.Studio.Owner, mira, "2026-02-01", "2090-01-01")).Body;
        Assert.Equal(closing, later.GetProperty("openingMinor").GetInt64());
        Assert.Equal("reversal reversal settlement settlement", string.Join(
            ' ', later.GetProperty("entries").EnumerateArray().Select(e => e.GetProperty("kind").GetString())));
        Assert.Equal(await studio.Balance(mira), later.GetProperty("closingMinor").GetInt64());
    }

    [Fact]
    public async Task Months_close_when_they_are_over_in_their_order_once_and_by_the_owner()
    {
        var studio = await CostStudio.Make(service);
        var now = DateTimeOffset.UtcNow.AddHours(14); // nowhere is it later than UTC+14
        var unborn = await Close(studio, now.ToString("yyyy-MM", CultureInfo.InvariantCulture));
        Assert.Equal("costs.month-not-over", unborn.Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("request.not-a-month", (await Close(studio, "2026-13")).Expect(HttpStatusCode.BadRequest).Code);
        var first = (await Close(studio, "2026-02")).Expect(HttpStatusCode.OK);
        Assert.Equal(first.Text, (await Close(studio, "2026-02")).Expect(HttpStatusCode.OK).Text);
        Assert.Equal("costs.month-closed", (await Close(studio, "2026-01")).Expect(HttpStatusCode.Conflict).Code);
        (await studio.Studio.Technician.Put($"{studio.Path}/closings/2026-03", new { })).Expect(HttpStatusCode.Forbidden);
        (await Close(studio, "2026-03")).Expect(HttpStatusCode.OK);
        var months = (await studio.Studio.Viewer.Get(studio.Path + "/closings")).Expect(HttpStatusCode.OK).Body.GetProperty("items").EnumerateArray()
            .Select(c => c.GetProperty("month").GetString());
        Assert.Equal(["2026-02", "2026-03"], months);
    }

    [Fact]
    public async Task Sixteen_closings_at_once_are_one()
    {
        var studio = await CostStudio.Make(service);
        var replies = await Task.WhenAll(Enumerable.Range(0, 16).Select(_ => Close(studio, "2026-01")));
        Assert.Single(replies.Select(r => r.Expect(HttpStatusCode.OK).Text).Distinct(StringComparer.Ordinal));
        Assert.Equal(1L, await Count($"select count(*) from closing where studio_id = '{studio.Studio.Id}'"));
        Assert.Equal(1L, await Count($"select count(*) from audit where studio_id = '{studio.Studio.Id}' and action = 'closings.close'"));
    }

    [Fact]
    public async Task A_closing_waits_for_an_entry_under_way_and_counts_it()
    {
        var studio = await CostStudio.Make(service);
        await using var app = await Open(studio);
        await using var writing = await app.BeginTransactionAsync(TestContext.Current.CancellationToken);
        await Execute(app, Entry(studio, studio.Studio.PotterId, Within));
        var closing = Close(studio, "2026-01");
        await Task.Delay(300, TestContext.Current.CancellationToken);
        Assert.False(closing.IsCompleted, "The month was closed beside an entry under way.");
        await writing.CommitAsync(TestContext.Current.CancellationToken);
        Assert.Equal(1, (await closing).Expect(HttpStatusCode.OK).Body.GetProperty("entries").GetInt64());
    }

    [Fact]
    public async Task An_entry_that_waits_for_a_closing_is_refused_by_it()
    {
        var studio = await CostStudio.Make(service);
        await using var closer = await Open(studio);
        await using var closing = await closer.BeginTransactionAsync(TestContext.Current.CancellationToken);
        await Execute(closer, $$$"""
            insert into closing (studio_id, month, closed_until, entries, amount_minor, names, closed_by, closed_at)
            values ('{{{studio.Studio.Id}}}', '2026-01', '2026-01-31T23:00:00Z', 0, 0, '{"studio":"","timeZone":"Europe/Berlin","members":{},"kilns":{}}', '{{{studio.Studio.OwnerId}}}', now())
            """);
        var writing = Write(studio, studio.Studio.PotterId, Within);
        await Task.Delay(300, TestContext.Current.CancellationToken);
        Assert.False(writing.IsCompleted, "An entry was written beside a closing.");
        await closing.CommitAsync(TestContext.Current.CancellationToken);
        Assert.Equal("ck_ledger_entry_month_open", (await Assert.ThrowsAsync<PostgresException>(() => writing)).ConstraintName);
    }

    // Under one snapshot for the whole transaction a closing made meanwhile would not be seen.
    [Fact]
    public async Task Entries_are_written_under_read_committed_only()
    {
        var studio = await CostStudio.Make(service);
        await using var app = await Open(studio);
        await using var writing = await app.BeginTransactionAsync(System.Data.IsolationLevel.RepeatableRead, TestContext.Current.CancellationToken);
        Assert.Equal("25001", (await Assert.ThrowsAsync<PostgresException>(() => Execute(app, Entry(studio, studio.Studio.PotterId, After)))).SqlState);
    }

    [Fact]
    public async Task What_is_slipped_into_a_closed_month_past_every_wall_is_found_by_the_reconciliation()
    {
        var studio = await CostStudio.Make(service);
        (await Close(studio, "2026-01")).Expect(HttpStatusCode.OK);
        Assert.DoesNotContain("closed-month-changed", await InvariantTests.Broken(service), StringComparer.Ordinal);
        await Admin(Entry(studio, studio.Studio.PotterId, Within));
        Assert.Contains("closed-month-changed", await InvariantTests.Broken(service), StringComparer.Ordinal);
        await Admin($"delete from ledger_entry where studio_id = '{studio.Studio.Id}'");
        Assert.DoesNotContain("closed-month-changed", await InvariantTests.Broken(service), StringComparer.Ordinal);
    }

    [Fact]
    public async Task Without_its_policy_the_ledger_takes_the_entry_and_only_the_reconciliation_sees_it()
    {
        await using var faulted = new Service(database) { IsFaulted = true };
        await faulted.InitializeAsync();
        var studio = await CostStudio.Make(faulted);
        (await Close(studio, "2026-01")).Expect(HttpStatusCode.OK);
        await using var owner = new NpgsqlConnection(faulted.Links.Owner + ";Pooling=false");
        await owner.OpenAsync(TestContext.Current.CancellationToken);
        await Execute(owner, "drop policy open_month on ledger_entry");
        await using var app = new NpgsqlConnection(faulted.Links.App + ";Pooling=false");
        await app.OpenAsync(TestContext.Current.CancellationToken);
        await Execute(app, $"select set_config('kilnshare.studio', '{studio.Studio.Id}', false)");
        await Execute(app, Entry(studio, studio.Studio.PotterId, Within));
        Assert.Contains("closed-month-changed", await InvariantTests.Broken(faulted), StringComparer.Ordinal);
    }

    private static Task<Reply> Close(CostStudio studio, string month) => studio.Studio.Owner.Send(HttpMethod.Put, $"{studio.Path}/closings/{month}");

    private static async Task<string[]> Papers(CostStudio studio, Guid member)
    {
        var papers = new List<string>();
        foreach (var form in new[] { "", ".csv", ".pdf" })
            papers.Add(Encoding.Latin1.GetString(
                await studio.Studio.Owner.Bytes($"{studio.Path}/accounts/{member}/statement{form}?from=2026-01-01&to=2026-02-01")));
        return [.. papers];
    }

    private static async Task Edit(Caller caller, string path, object patch) =>
        (await caller.Patch(path, patch, await caller.Tag(path))).Expect(HttpStatusCode.OK);

    /// <summary>An entry that belongs to nothing: the last look at this class's database would find it.</summary>
    private string Entry(CostStudio studio, Guid member, string at)
    {
        service.IsFaulted = true;
        return "insert into ledger_entry (studio_id, id, at, kind, debit, credit, amount_minor, currency, subject, part) "
            + $"values ('{studio.Studio.Id}', gen_random_uuid(), '{at}', 'Adjustment', 'Member:{member}', 'StudioShare', 500, 'EUR', "
                + $"gen_random_uuid()::text, 'charge')";
    }

    /// <summary>An entry as the serving role, past the service.</summary>
    private async Task Write(CostStudio studio, Guid member, string at)
    {
        await using var app = await Open(studio);
        await Execute(app, Entry(studio, member, at));
    }

    /// <summary>Dates what was written since as if it had been written then.</summary>
    private Task Backdate(CostStudio studio, string at) => Admin($"""
        update settlement set settled_at = '{at}' where studio_id = '{studio.Studio.Id}' and settled_at > '2026-02-01';
        update payment set at = '{at}' where studio_id = '{studio.Studio.Id}' and at > '2026-02-01';
        update ledger_entry set at = '{at}' where studio_id = '{studio.Studio.Id}' and at > '2026-02-01';
        """);

    private async Task<NpgsqlConnection> Open(CostStudio studio)
    {
        var app = new NpgsqlConnection(service.Links.App + ";Pooling=false");
        await app.OpenAsync(TestContext.Current.CancellationToken);
        await Execute(app, $"select set_config('kilnshare.studio', '{studio.Studio.Id}', false)");
        return app;
    }

    private async Task Admin(string sql)
    {
        await using var admin = new NpgsqlConnection(service.Links.Admin + ";Pooling=false");
        await admin.OpenAsync(TestContext.Current.CancellationToken);
        await Execute(admin, sql);
    }

    private async Task<long> Count(string sql)
    {
        await using var admin = new NpgsqlConnection(service.Links.Admin + ";Pooling=false");
        await admin.OpenAsync(TestContext.Current.CancellationToken);
        await using var command = new NpgsqlCommand(sql, admin);
        return (long)(await command.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
    }

    private static async Task Execute(NpgsqlConnection connection, string sql)
    {
        await using var command = new NpgsqlCommand(sql, connection);
        await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
    }
}
