using System.Data.Common;
using System.Text.RegularExpressions;
using KilnShare.Storage;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Microsoft.Extensions.DependencyInjection;

namespace KilnShare.Api.Tests.Common;

/// <summary>Mistakes that such services are known to make, planted between the service and its database: the tests must see each of them.</summary>
internal static partial class PlantedBugs
{
    /// <summary>A second service over the same database with the bug in it.</summary>
    public static WebApplicationFactory<Program> In(Service service, IInterceptor bug) =>
        service.Again().WithWebHostBuilder(host => host.ConfigureServices(s => s.ConfigureDbContext<KilnShareDb>(o => o.AddInterceptors(bug))));

    [GeneratedRegex(@"(?<column>\w+\.load_version) = (?<read>@\w+)", RegexOptions.ExplicitCapture, matchTimeoutMilliseconds: 1000)]
    private static partial Regex VersionHeld();

    [GeneratedRegex(@"\w+\.firing_id = (?<firing>@\w+)", RegexOptions.ExplicitCapture, matchTimeoutMilliseconds: 1000)]
    private static partial Regex FiringHeld();

    private static bool TakesVersion(DbCommand command) =>
        command.CommandText.StartsWith("UPDATE firing_load", StringComparison.Ordinal) && VersionHeld().IsMatch(command.CommandText);

    /// <summary>Publishes over whatever plan is there; waits a moment first, so that two do so at once.</summary>
    public sealed class ForgetsVersion(TimeSpan wait = default) : DbCommandInterceptor
    {
        public override async ValueTask<InterceptionResult<int>> NonQueryExecutingAsync(
            DbCommand command, CommandEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default)
        {
            if (!TakesVersion(command)) return result;
            await Task.Delay(wait, cancellationToken);
            command.CommandText = VersionHeld().Replace(command.CommandText, "true");
            return result;
        }
    }

    /// <summary>Takes a plan that was read before the newest one was published for good enough.</summary>
    public sealed class ReadsStale : DbCommandInterceptor
    {
        public override ValueTask<InterceptionResult<int>> NonQueryExecutingAsync(
            DbCommand command, CommandEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default)
        {
            if (TakesVersion(command)) command.CommandText = VersionHeld().Replace(command.CommandText, "${column} >= ${read}");
            return new ValueTask<InterceptionResult<int>>(result);
        }
    }

    /// <summary>Locks another firing's row beside its own, whichever comes first.</summary>
    public sealed class LocksInNoOrder : DbCommandInterceptor
    {
        public override ValueTask<InterceptionResult<int>> NonQueryExecutingAsync(
            DbCommand command, CommandEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default)
        {
            if (TakesVersion(command) && FiringHeld().Match(command.CommandText) is { Success: true } own)
                command.CommandText = $"select pg_sleep(0.02) from (select 1 from firing_load where firing_id <> {own.Groups["firing"].Value} order by "
                    + $"random() for update) other; " + command.CommandText;
            return new ValueTask<InterceptionResult<int>>(result);
        }
    }

    /// <summary>Writes the key of a request down after its effect is committed instead of with it.</summary>
    public sealed class KeyAfterCommit : DbCommandInterceptor
    {
        public override ValueTask<InterceptionResult<int>> NonQueryExecutingAsync(
            DbCommand command, CommandEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default) =>
            new(command.CommandText.Contains("insert into idempotency", StringComparison.Ordinal) ? InterceptionResult<int>.SuppressWithResult(1) : result);
    }

    /// <summary>Reads with the studio left out of the question.</summary>
    public sealed partial class ForgetsStudio : DbCommandInterceptor
    {
        public override ValueTask<InterceptionResult<DbDataReader>> ReaderExecutingAsync(
            DbCommand command, CommandEventData eventData, InterceptionResult<DbDataReader> result, CancellationToken cancellationToken = default)
        {
            if (command.CommandText.Contains("FROM clay ", StringComparison.Ordinal)) command.CommandText = StudioAsked().Replace(command.CommandText, "true");
            return new ValueTask<InterceptionResult<DbDataReader>>(result);
        }

        [GeneratedRegex(@"\w+\.studio_id = @\w+", RegexOptions.None, matchTimeoutMilliseconds: 1000)]
        private static partial Regex StudioAsked();
    }
}
