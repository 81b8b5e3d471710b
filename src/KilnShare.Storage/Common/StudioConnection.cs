using System.Data.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Npgsql;

namespace KilnShare.Storage.Common;

/// <summary>The studio whose rows this request may see; null before a token has said which.</summary>
public sealed class CurrentStudio
{
    /// <summary>The studio.</summary>
    public Id<Studio>? Id { get; set; }
}

/// <summary>Tells PostgreSQL the studio at every opening of a connection, empty when there is none: nothing is inherited from the pool.</summary>
public sealed class StudioConnectionInterceptor(CurrentStudio studio) : DbConnectionInterceptor
{
    /// <summary>Sets the studio that the row-level security policies read, for the rest of the connection's use.</summary>
    public const string SetStudioSql = "select set_config('kilnshare.studio', $1, false)";

    /// <inheritdoc/>
    public override void ConnectionOpened(DbConnection connection, ConnectionEndEventData eventData)
    {
        using var command = Command(connection);
        command.ExecuteNonQuery();
    }

    /// <inheritdoc/>
    public override async Task ConnectionOpenedAsync(
        DbConnection connection, ConnectionEndEventData eventData, CancellationToken cancellationToken = default)
    {
        await using var command = Command(connection);
        await command.ExecuteNonQueryAsync(cancellationToken);
    }

    private DbCommand Command(DbConnection connection)
    {
        var command = connection.CreateCommand();
        command.CommandText = SetStudioSql;
        command.Parameters.Add(new NpgsqlParameter<string> { TypedValue = studio.Id?.ToString() ?? "" });
        return command;
    }
}
