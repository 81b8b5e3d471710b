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

    /// <summary>Maps the two routes.</summary>
    public static void MapHealth(this WebApplication app)
    {
        app.MapGet("/health/live", Live).WithName("healthLive").WithTags("Health").Produces<HealthAnswer>();
        app.MapGet("/health/ready", Ready).WithName("healthReady").WithTags("Health").Produces<HealthAnswer>().Refuses(503);
    }

    /// <summary>Whether the service lives</summary>
    private static IResult Live() => TypedResults.Ok(new HealthAnswer { Status = "ok" });

    /// <summary>Whether the service can serve</summary>
    private static async Task<IResult> Ready(Databases databases, ServiceSettings settings, CancellationToken cancellation)
    {
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        limit.CancelAfter(Patience);
        try
        {
            await using var command = databases.App.CreateCommand("select 1");
            await command.ExecuteScalarAsync(limit.Token);
            return TypedResults.Ok(new HealthAnswer { Status = "ok", Reasons = [.. Warnings(settings)] });
        }
        catch (Exception e) when (e is NpgsqlException or OperationCanceledException or InvalidOperationException)
        {
            return Problems.Answer(503, "service.database-away", ReasonOf(e) + " Nothing is lost; requests are refused until it does.", null, null, null);
        }
    }

    /// <summary>Why the database does not serve, without names of hosts or roles: anyone may ask.</summary>
    internal static string ReasonOf(Exception exception) => exception switch
    {
        PostgresException { SqlState: PostgresErrorCodes.InvalidPassword or PostgresErrorCodes.InvalidAuthorizationSpecification } =>
            "The database does not let the service in: its role or password was changed.",
        PostgresException { SqlState: PostgresErrorCodes.CannotConnectNow } => "The database is starting or stopping.",
        PostgresException { SqlState: PostgresErrorCodes.TooManyConnections } => "The database has no connection left.",
        PostgresException { SqlState: PostgresErrorCodes.InvalidCatalogName } => "The database is not there.",
        InvalidOperationException => "The database is not ready yet.",
        OperationCanceledException => "The database did not answer within 3 seconds.",
        _ => "The database does not answer.",
    };

    private static IEnumerable<string> Warnings(ServiceSettings settings)
    {
        if (settings is { Database: null, AppConnection: null, DataFolder: { } folder } && new DriveInfo(folder).AvailableFreeSpace is var free && free < LeastFreeBytes)
            yield return $"The disk of the data folder has {free / (1024 * 1024)} MiB left. Make room before PostgreSQL stops for want of it.";
    }
}
