using Testcontainers.PostgreSql;

namespace KilnShare.Api.Tests.Common;

/// <summary>A PostgreSQL in a container of its own, with its data in memory.</summary>
public static class PostgresContainer
{
    /// <summary>A container that is not started yet; the builder makes its server fast and forgetful (fsync off) unless told otherwise.</summary>
    /// <param name="arguments">Further arguments of the server.</param>
    public static PostgreSqlContainer Make(params string[] arguments) =>
        new PostgreSqlBuilder(Environment.GetEnvironmentVariable("KILNSHARE_TEST_IMAGE") is { Length: > 0 } image ? image : "docker.io/library/postgres:17")
            .WithTmpfsMount("/var/lib/postgresql/data")
            .WithCommand(arguments)
            .WithCreateParameterModifier(p => p.StopSignal = "SIGINT") // a fast shutdown: the polite one waits for every client
            .Build();
}
