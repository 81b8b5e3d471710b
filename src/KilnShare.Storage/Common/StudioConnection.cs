using System.Data.Common;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Npgsql;

namespace KilnShare.Storage.Common;

/// <summary>Tells PostgreSQL the studio at every opening of a connection, empty when there is none: nothing is inherited from the pool.</summary>
public sealed class StudioConnectionInterceptor : DbConnectionInterceptor
{
    /// <summary>Sets the studio that the row-level security policies read, for the rest of the connection's use.</summary>
    public const string SetStudioSql = "select set_config('kilnshare.studio', $1, false)";

    /// <inheritdoc/>
    public override void ConnectionOpened(DbConnection connection, ConnectionEndEventData eventData)
    {
        using var command = Command(connection, eventData);
        command.ExecuteNonQuery();
    }

    /// <inheritdoc/>
    public override async Task ConnectionOpenedAsync(
        DbConnection connection, ConnectionEndEventData eventData, CancellationToken cancellationToken = default)
    {
        await using var command = Command(connection, eventData);
        await command.ExecuteNonQueryAsync(cancellationToken);
    }

    private static DbCommand Command(DbConnection connection, ConnectionEndEventData eventData)
    {
        var command = connection.CreateCommand();
        command.CommandText = SetStudioSql;
        command.Parameters.Add(new NpgsqlParameter<string> { TypedValue = (eventData.Context as KilnShareDb)?.Studio?.ToString() ?? "" });
        return command;
    }
}
