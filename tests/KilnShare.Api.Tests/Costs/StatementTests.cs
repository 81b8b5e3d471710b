using System.Globalization;
using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Costs;

public sealed class StatementTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Opening_and_entries_are_closing_and_say_what_they_are_for()
    {
        var studio = await CostStudio.Make(service);
        var mira = studio.Studio.PotterId;
        await studio.Settled();
        await studio.Pay(mira, "payment", 1_000, "cash in the tin");
        var statement = (await studio.Statement(studio.Studio.Potter, mira, "2020-01-01", "2090-01-01")).Expect(HttpStatusCode.OK).Body;
        var entries = statement.GetProperty("entries").EnumerateArray().ToList();
        Assert.Equal(0, statement.GetProperty("openingMinor").GetInt64());
        Assert.Equal(statement.GetProperty("closingMinor").GetInt64(), entries.Sum(e => e.GetProperty("amountMinor").GetInt64()));
        Assert.Equal(await studio.Balance(mira), statement.GetProperty("closingMinor").GetInt64());
        Assert.Contains(entries, e => e.GetProperty("what").GetString()!.StartsWith("glaze firing to cone 6, Round top-loader, ", StringComparison.Ordinal)
            && e.GetProperty("part").GetString() == "energy");
        Assert.Equal("cash in the tin", entries[^1].GetProperty("note").GetString());
        Assert.Equal(entries[^1].GetProperty("balanceMinor").GetInt64(), statement.GetProperty("closingMinor").GetInt64());
    }

    [Fact]
    public async Task A_potter_reads_no_other_members_statement()
    {
        var studio = await CostStudio.Make(service);
        foreach (var form in new[] { "", ".csv", ".pdf" })
        {
            (await studio.Statement(studio.Studio.OtherPotter, studio.Studio.PotterId, "2026-01-01", "2026-02-01", form)).Expect(HttpStatusCode.Forbidden);
            (await studio.Statement(studio.Studio.Technician, studio.Studio.PotterId, "2026-01-01", "2026-02-01", form)).Expect(HttpStatusCode.OK);
            (await studio.Statement(studio.Studio.Owner, Guid.NewGuid(), "2026-01-01", "2026-02-01", form)).Expect(HttpStatusCode.NotFound);
        }
    }

    [Theory]
    [InlineData("2026-02-30", "2026-03-01", "/from")]
    [InlineData("2026-01-01", "soon", "/to")]
    [InlineData("2026-01-01", "2026-01-01", "/to")]
    [InlineData("1999-12-31", "2026-01-01", "/from")]
    public async Task Days_that_do_not_exist_are_refused(string from, string to, string pointer)
    {
        var studio = await service.MakeStudio();
        var refused = await studio.Owner.Get($"{studio.Path}/accounts/{studio.PotterId}/statement?from={from}&to={to}");
        Assert.Equal(pointer, refused.Expect(HttpStatusCode.BadRequest).Pointer);
    }

    // The studio's clocks go by Europe/Berlin: 23:30 UTC on 31 January 2026 is February there (UTC+1, IANA time zone database).
    [Fact]
    public async Task Adjacent_months_join_and_are_cut_by_the_studios_clock()
    {
        var studio = await CostStudio.Make(service);
        var mira = studio.Studio.PotterId;
        await Plant(studio, mira, ("2026-01-05T10:00:00Z", 700), ("2026-01-31T22:30:00Z", 40), ("2026-01-31T23:30:00Z", 5), ("2026-02-28T22:59:59Z", 1_000));
        var (january, february) = (await Month("2026-01-01", "2026-02-01"), await Month("2026-02-01", "2026-03-01"));
        var both = await Month("2026-01-01", "2026-03-01");
        Assert.Equal([740L, 740L, 1_745L], [Closing(january), february.GetProperty("openingMinor").GetInt64(), Closing(february)]);
        Assert.Equal(2, january.GetProperty("entries").GetArrayLength());
        Assert.Equal(Lines(both), Lines(january) + Lines(february));

        async Task<JsonElement> Month(string from, string to) => (await studio.Statement(studio.Studio.Owner, mira, from, to)).Expect(HttpStatusCode.OK).Body;
        static string Lines(JsonElement statement) => string.Concat(statement.GetProperty("entries").EnumerateArray().Select(e => e.GetRawText()));
        static long Closing(JsonElement statement) => statement.GetProperty("closingMinor").GetInt64();
    }

    [Fact]
    public async Task The_table_is_safe_in_a_spreadsheet_and_its_money_still_sums()
    {
        var studio = await CostStudio.Make(service);
        var mira = studio.Studio.PotterId;
        foreach (var reason in new[] { "=1+1", "+49 30", "-5", "@SUM(A1)", "＝1", "a \"quoted\", thing" }) await studio.Pay(mira, "payment", 1_234, reason);
        await studio.Pay(mira, "charge", 50);
        var file = (await studio.Statement(studio.Studio.Owner, mira, "2020-01-01", "2090-01-01", ".csv")).Expect(HttpStatusCode.OK);
        Assert.StartsWith("text/csv", file.ContentType, StringComparison.Ordinal);
        Assert.Contains("'=1+1", file.Text, StringComparison.Ordinal);
        Assert.Contains("\"a \"\"quoted\"\", thing\"", file.Text, StringComparison.Ordinal);
        var rows = CsvReading.Rows(file.Text);
        Assert.All(rows, r => Assert.Equal(11, r.Count));
        Assert.All(rows.Skip(1).Select(r => r[3]).Where(n => n.Length > 0), note => Assert.DoesNotContain(note[0], "=+-@＝"));
        Assert.Equal(-73.54m, rows.Skip(2).SkipLast(1).Sum(r => decimal.Parse(r[4], CultureInfo.InvariantCulture)));
        Assert.Equal("-73.54", rows[^1][5]);
    }

    [Fact]
    public async Task The_paper_is_a_pdf_with_its_own_font()
    {
        var studio = await CostStudio.Make(service);
        await studio.Settled();
        var file = await studio.Statement(studio.Studio.Potter, studio.Studio.PotterId, "2020-01-01", "2090-01-01", ".pdf");
        Assert.Equal("application/pdf", file.Expect(HttpStatusCode.OK).ContentType);
        Assert.StartsWith("%PDF-", file.Text, StringComparison.Ordinal);
        Assert.Contains("DejaVu", file.Text, StringComparison.Ordinal);
    }

    /// <summary>Charges at given times, written past the service; they belong to nothing, which the last look at this class's database would find.</summary>
    private async Task Plant(CostStudio studio, Guid member, params (string At, long Minor)[] charges)
    {
        service.IsFaulted = true;
        await using var connection = new NpgsqlConnection(service.Links.Admin + ";Pooling=false");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        foreach (var (at, minor) in charges)
        {
            await using var command = new NpgsqlCommand(
                "insert into ledger_entry (studio_id, id, at, kind, debit, credit, amount_minor, currency, subject, part) values ($1, gen_random_uuid(), "
                    + "$2::timestamptz, 'Adjustment', $3, 'StudioShare', $4, 'EUR', gen_random_uuid()::text, 'charge')", connection)
            {
                Parameters = { new() { Value = studio.Studio.Id }, new() { Value = at, NpgsqlDbType = NpgsqlTypes.NpgsqlDbType.Text },
                    new() { Value = "Member:" + member }, new() { Value = minor } },
            };
            await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
        }
    }
}
