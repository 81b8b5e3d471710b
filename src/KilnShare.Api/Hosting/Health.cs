using KilnShare.Api.Common;
using Npgsql;

namespace KilnShare.Api.Hosting;

/// <summary>How the service is.</summary>
public sealed record HealthAnswer
{
    /// <summary>ok, or what is wrong.</summary>
    /// <example>ok</example>
    public required string Status { get; init; }
}

/// <summary>Whether the service lives, and whether it can serve.</summary>
public static class Health
{
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
    private static async Task<IResult> Ready(Databases databases, CancellationToken cancellation)
    {
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        limit.CancelAfter(Patience);
        try
        {
            await using var command = databases.App.CreateCommand("select 1");
            await command.ExecuteScalarAsync(limit.Token);
            return TypedResults.Ok(new HealthAnswer { Status = "ok" });
        }
        catch (Exception e) when (e is NpgsqlException or OperationCanceledException or InvalidOperationException)
        {
            return Problems.Answer(503, "service.database-away", "The database does not answer. Nothing is lost; requests are refused until it does.", null, null, null);
        }
    }
}
