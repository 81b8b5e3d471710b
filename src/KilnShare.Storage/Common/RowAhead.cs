using System.Data.Common;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Npgsql;

namespace KilnShare.Storage.Common;

/// <summary>A question for one row by studio and id, put in the words that EF will use for it, so that it can be asked before the handler does.</summary>
/// <remarks>
/// Most of what a read by id costs is its journeys to the server. The question is sent together with the one for the token
/// (<see cref="Studios.TokenLookup"/>); when the handler then asks it through EF, the answer is there, and EF reads from it as from its own.
/// </remarks>
public sealed class RowQuestion
{
    private string? sql;
    private string[] names = [];

    /// <summary>True once EF has asked it for the first time, from which its words are known.</summary>
    public bool IsKnown => Volatile.Read(ref sql) is not null;

    /// <summary>Learns the words from the command that asks about a row, if this is it.</summary>
    internal void Learn(DbCommand command, Guid studio, Guid id)
    {
        if (IsKnown || !IsAbout(command, studio, id)) return;
        names = [.. command.Parameters.Cast<DbParameter>().Select(p => p.ParameterName)];
        Volatile.Write(ref sql, command.CommandText);
    }

    /// <summary>The question about one row, to be sent in a batch.</summary>
    internal NpgsqlBatchCommand About(Guid studio, Guid id)
    {
        var command = new NpgsqlBatchCommand(sql!);
        command.Parameters.Add(new NpgsqlParameter<Guid>(names[0], studio));
        command.Parameters.Add(new NpgsqlParameter<Guid>(names[1], id));
        return command;
    }

    /// <summary>True where a command asks the same about the same row.</summary>
    internal bool IsAskedBy(DbCommand command, Guid studio, Guid id) =>
        command.CommandText == sql && IsAbout(command, studio, id);

    private static bool IsAbout(DbCommand command, Guid studio, Guid id) =>
        command.Parameters.Count == 2 && studio.Equals(command.Parameters[0].Value) && id.Equals(command.Parameters[1].Value);
}

/// <summary>A question that the next command asks.</summary>
internal sealed record RowAsking(RowQuestion Question, Guid Studio, Guid Id);

/// <summary>The answer to a question asked ahead: a reader that stands before the row, not read yet.</summary>
/// <param name="Question">The question.</param>
/// <param name="Studio">The studio asked about.</param>
/// <param name="Id">The row asked about.</param>
/// <param name="Reader">The answer.</param>
internal sealed record RowAhead(RowQuestion Question, Guid Studio, Guid Id, NpgsqlDataReader Reader);

/// <summary>Hands EF the answer that is there already; whatever else it asks first, the answer is put away before.</summary>
public sealed class RowAheadInterceptor : DbCommandInterceptor
{
    /// <inheritdoc/>
    public override async ValueTask<InterceptionResult<DbDataReader>> ReaderExecutingAsync(
        DbCommand command, CommandEventData eventData, InterceptionResult<DbDataReader> result, CancellationToken cancellationToken = default)
    {
        var db = (KilnShareDb)eventData.Context!;
        if (db.Ahead is { } ahead)
        {
            db.Ahead = null;
            if (ahead.Question.IsAskedBy(command, ahead.Studio, ahead.Id)) return InterceptionResult<DbDataReader>.SuppressWithResult(ahead.Reader);
            await ahead.Reader.DisposeAsync();
        }

        if (db.Asking is { } asking) asking.Question.Learn(command, asking.Studio, asking.Id);
        db.Asking = null;
        return result;
    }

    /// <inheritdoc/>
    public override async ValueTask<InterceptionResult<int>> NonQueryExecutingAsync(
        DbCommand command, CommandEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default)
    {
        await ((KilnShareDb)eventData.Context!).PutAway();
        return result;
    }

    /// <inheritdoc/>
    public override async ValueTask<InterceptionResult<object>> ScalarExecutingAsync(
        DbCommand command, CommandEventData eventData, InterceptionResult<object> result, CancellationToken cancellationToken = default)
    {
        await ((KilnShareDb)eventData.Context!).PutAway();
        return result;
    }
}
