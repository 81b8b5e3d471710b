using System.Text.Json;
using KilnShare.Api.Hosting;
using KilnShare.Api.Tests.Common;
using KilnShare.Storage.Setup;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Logging.Console;
using Npgsql;

namespace KilnShare.Api.Tests.Hosting;

/// <summary>The log, and what the service says of its database.</summary>
public sealed class LogTests(TestDatabase database)
{
    // OWASP ASVS 5.0, 16.4.1: log injection by line ends, escapes, and characters some viewers take for line ends.
    [Theory]
    [InlineData("two\r\nlines")]
    [InlineData("\u001b[31mred\u001b[0m")]
    [InlineData("a\u2028b\u2029c\u0085d")]
    [InlineData("\u202ereversed")]
    [InlineData("{\"a\":1}\n{\"b\":2}")]
    public void An_event_is_one_line_of_JSON_whatever_is_in_its_message(string hostile)
    {
        using var services = new ServiceCollection().AddLogging(l => l.AddKilnShareJson()).BuildServiceProvider();
        var formatter = services.GetServices<ConsoleFormatter>().Single(f => f.Name == LogLine.FormatterName);
        using var written = new StringWriter();
        formatter.Write(new LogEntry<string>(LogLevel.Warning, "x", 1, hostile, null, (state, _) => state), null, written);
        var line = Assert.Single(written.ToString().Split('\n', StringSplitOptions.RemoveEmptyEntries));
        Assert.DoesNotContain(line, c => char.IsControl(c) || c is '\u2028' or '\u2029' or '\u202e');
        using var json = JsonDocument.Parse(line);
        Assert.Equal(hostile, json.RootElement.GetProperty("Message").GetString());
        Assert.EndsWith("Z", json.RootElement.GetProperty("Timestamp").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_reason_why_the_database_is_away_names_no_host_and_no_role()
    {
        var wrong = new NpgsqlConnectionStringBuilder(database.Admin) { Database = "no_such_database", Pooling = false }.ConnectionString;
        await using var connection = new NpgsqlConnection(wrong);
        var away = await Assert.ThrowsAsync<PostgresException>(() => connection.OpenAsync(TestContext.Current.CancellationToken));
        Assert.Equal("The database is not there.", Health.ReasonOf(away));
        Assert.Equal("The database does not answer.", Health.ReasonOf(new NpgsqlException("Failed to connect to 10.0.0.7:5432")));
    }

    [Theory]
    [InlineData("synchronous_commit")]
    public async Task A_role_whose_commits_do_not_wait_for_the_disk_is_refused_by_the_name_of_the_setting(string setting)
    {
        var links = await database.Clone();
        var unsafeLogin = new NpgsqlConnectionStringBuilder(links.Admin) { Options = $"-c {setting}=off -c role={DatabaseLinks.OwnerRole}" }.ConnectionString;
        var refused = await Assert.ThrowsAsync<InvalidOperationException>(() => DatabaseSetup.CheckDurable(unsafeLogin, TestContext.Current.CancellationToken));
        // A container of tests runs without fsync, which is named first.
        Assert.Contains(TestDatabase.IsContainer ? "fsync = off" : setting + " = off", refused.Message, StringComparison.Ordinal);
        if (!TestDatabase.IsContainer) await DatabaseSetup.CheckDurable(links.App, TestContext.Current.CancellationToken);
    }
}
