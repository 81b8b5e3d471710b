using System.Globalization;
using Npgsql;

namespace KilnShare.Storage.Setup;

/// <summary>
/// Refuses a pooler between the service and its database that hands each transaction to another session. The studio is a setting of the session: behind
/// such a pooler one request would go by the studio of another.
/// </summary>
public static class SessionCheck
{
    private const int Rounds = 5;
    private const int Others = 2;
    private const int SecondsToAnswer = 5;
    private const string Setting = "kilnshare.session_check";

    /// <summary>
    /// Several times over: one connection sets a word, others begin transactions, and the first reads its word again. A pooler in transaction mode has
    /// given the first one's session to another meanwhile, so that the word is not there, or the question waits for a session to come free.
    /// </summary>
    /// <param name="connectionString">How the serving role connects.</param>
    /// <param name="cancellation">Stops it.</param>
    /// <exception cref="InvalidOperationException">There is such a pooler; the message says what to do.</exception>
    /// <exception cref="NpgsqlException">The database cannot be reached.</exception>
    public static async Task Run(string connectionString, CancellationToken cancellation)
    {
        var link = new NpgsqlConnectionStringBuilder(connectionString) { Pooling = false, MaxAutoPrepare = 0, CommandTimeout = SecondsToAnswer };
        await using var source = NpgsqlDataSource.Create(link.ConnectionString);
        try
        {
            await using var first = await source.OpenConnectionAsync(cancellation);
            for (var round = 0; round < Rounds; round++)
            {
                var word = round.ToString(CultureInfo.InvariantCulture);
                await Ask(first, $"select set_config('{Setting}', '{word}', false)", cancellation);
                await using var others = new Occupied();
                for (var n = 0; n < Others; n++)
                    if (!await others.Add(source, cancellation)) break;
                if (await Ask(first, $"select current_setting('{Setting}', true)", cancellation) != word) throw Refused(null);
            }
        }
        catch (NpgsqlException e) when (e.InnerException is TimeoutException)
        {
            throw Refused(e);
        }
        catch (PostgresException e) when (e.SqlState == PostgresErrorCodes.ProtocolViolation)
        {
            throw Refused(e); // "unsupported startup parameter": the pooler would not pass on how long a statement may take
        }
    }

    private static async Task<string?> Ask(NpgsqlConnection connection, string sql, CancellationToken cancellation)
    {
        await using var command = new NpgsqlCommand(sql, connection);
        return await command.ExecuteScalarAsync(cancellation) as string;
    }

    private static InvalidOperationException Refused(Exception? why) => new(
        "A pooler stands between the service and PostgreSQL that changes the session between two transactions (transaction or statement mode). One studio "
        + "would be shown another's things. Connect to PostgreSQL itself, or set the pooler to session mode and let it pass on the start-up parameter "
            + "\"options\".", why);

    /// <summary>Connections in the middle of a transaction.</summary>
    private sealed class Occupied : IAsyncDisposable
    {
        private readonly List<NpgsqlConnection> connections = [];

        /// <summary>Adds one; false where it does not get a session while the others have theirs.</summary>
        public async Task<bool> Add(NpgsqlDataSource source, CancellationToken cancellation)
        {
            try
            {
                var connection = await source.OpenConnectionAsync(cancellation);
                connections.Add(connection);
                await Ask(connection, "begin", cancellation);
                await Ask(connection, "select 1", cancellation);
                return true;
            }
            catch (NpgsqlException e) when (e.InnerException is TimeoutException)
            {
                return false;
            }
        }

        public async ValueTask DisposeAsync()
        {
            foreach (var connection in connections) await connection.DisposeAsync();
        }
    }
}
