using KilnShare.Api.Common;
using Npgsql;

namespace KilnShare.Api.Hosting;

/// <summary>How the service is.</summary>
public sealed record HealthAnswer
{
    /// <summary>ok, or what is wrong.</summary>
    /// <example>ok</example>
    public required string Status { get; init; }

    /// <summary>What will soon stop it from serving, and what to do; empty when nothing is known of.</summary>
    public IReadOnlyList<string> Reasons { get; init; } = [];
}

/// <summary>Whether the service lives, and whether it can serve.</summary>
public static class Health
{
    private const long LeastFreeBytes = 512L * 1024 * 1024;
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(3);
    private static readonly TimeSpan PatienceForWrites = TimeSpan.FromSeconds(10); // the first after a start puts together what later ones find

    /// <summary>Maps the two routes.</summary>
    public static void MapHealth(this WebApplication app)
    {
        app.MapGet("/health/live", Live).WithName("healthLive").WithTags("Health").Produces<HealthAnswer>();
        app.MapGet("/health/ready", Ready).WithName("healthReady").WithTags("Health").Produces<HealthAnswer>().Refuses(503);
    }

    /// <summary>Whether the service lives</summary>
    private static IResult Live() => TypedResults.Ok(new HealthAnswer { Status = "ok" });

    /// <summary>Whether the service can serve</summary>
    /// <remarks>It can where the database answers and takes a write, which is tried as requests write and taken back, at most once in ten seconds.</remarks>
    private static async Task<IResult> Ready(Databases databases, Readiness readiness, ServiceSettings settings, CancellationToken cancellation)
    {
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        limit.CancelAfter(Patience);
        try
        {
            await using var command = databases.App.CreateCommand("select 1");
            await command.ExecuteScalarAsync(limit.Token);
            limit.CancelAfter(PatienceForWrites);
            if (await readiness.Failure().WaitAsync(limit.Token) is { } failure)
                return NoWrites(failure);
            return TypedResults.Ok(new HealthAnswer { Status = "ok", Reasons = [.. Warnings(settings)] });
        }
        catch (Exception e) when (e is OperationCanceledException or InvalidOperationException || Postgres.IsAway(e))
        {
            return Problems.Answer(503, "service.database-away", ReasonOf(e) + " Nothing is lost; requests are refused until it does.", null, null, null);
        }
    }

    private static IResult NoWrites(Exception failure) => Problems.Answer(
        503, "service.no-writes", ReasonOf(failure) + " What was acknowledged is kept; writes are refused until this is put right.", null, null, null);

    /// <summary>Why the database does not serve, without names of hosts or roles: anyone may ask.</summary>
    internal static string ReasonOf(Exception exception) => Postgres.StateOf(exception) switch
    {
        PostgresErrorCodes.InvalidPassword or PostgresErrorCodes.InvalidAuthorizationSpecification =>
            "The database does not let the service in: its role or password was changed.",
        PostgresErrorCodes.CannotConnectNow => "The database is starting or stopping.",
        PostgresErrorCodes.TooManyConnections => "The database has no connection left.",
        PostgresErrorCodes.InvalidCatalogName => "The database is not there.",
        PostgresErrorCodes.ReadOnlySqlTransaction => "The database takes no writes: it is a standby, or was made one.",
        PostgresErrorCodes.DiskFull => "The disk of the database is full.",
        { } state when state.StartsWith("58", StringComparison.Ordinal) =>
            "The database cannot read or write its own files: a disk is broken, or its programs were changed while it runs.",
        { } state when !state.StartsWith("57", StringComparison.Ordinal) =>
            "The database answers, but refuses a write that is tried and taken back. Were its programs changed while it runs? Then restart it.",
        _ => exception switch
        {
            OperationCanceledException => "The database did not answer in time.",
            InvalidOperationException { InnerException: null } => "The database is not ready yet.",
            _ => "The database does not answer.",
        },
    };

    private static IEnumerable<string> Warnings(ServiceSettings settings)
    {
        if (settings is { Database: null, AppConnection: null, DataFolder: { } folder } && new DriveInfo(folder).AvailableFreeSpace is var free
            && free < LeastFreeBytes)
            yield return $"The disk of the data folder has {free / (1024 * 1024)} MiB left. Make room before PostgreSQL stops for want of it.";
    }
}
