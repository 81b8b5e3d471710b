using Npgsql;

namespace KilnShare.Api.Tests.Common;

/// <summary>Asks the database itself, past the service.</summary>
internal static class Asking
{
    /// <summary>The one number that a query answers.</summary>
    public static async Task<long> Number(string connectionString, string sql)
    {
        await using var connection = new NpgsqlConnection(connectionString + ";Pooling=false");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        await using var command = new NpgsqlCommand(sql, connection);
        return Convert.ToInt64(await command.ExecuteScalarAsync(TestContext.Current.CancellationToken), System.Globalization.CultureInfo.InvariantCulture);
    }
}
