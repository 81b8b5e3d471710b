using System.Data.Common;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Npgsql;

namespace KilnShare.Storage.Common;

/// <summary>
/// Ends a unit of work whose connection was lost within its transaction. EF would open another connection and go on there, each statement by itself, with
/// nothing to roll back and no common view of the rows.
/// </summary>
public sealed class LostTransaction : IDbTransactionInterceptor, IDbConnectionInterceptor
{
    /// <inheritdoc/>
    public DbTransaction TransactionStarted(DbConnection connection, TransactionEndEventData eventData, DbTransaction result)
    {
        Mark(eventData, true);
        return result;
    }

    /// <inheritdoc/>
    public ValueTask<DbTransaction> TransactionStartedAsync(
        DbConnection connection, TransactionEndEventData eventData, DbTransaction result, CancellationToken cancellationToken = default)
    {
        Mark(eventData, true);
        return ValueTask.FromResult(result);
    }

    /// <inheritdoc/>
    public void TransactionCommitted(DbTransaction transaction, TransactionEndEventData eventData) => Mark(eventData, false);

    /// <inheritdoc/>
    public Task TransactionCommittedAsync(DbTransaction transaction, TransactionEndEventData eventData, CancellationToken cancellationToken = default)
    {
        Mark(eventData, false);
        return Task.CompletedTask;
    }

    /// <inheritdoc/>
    public void TransactionRolledBack(DbTransaction transaction, TransactionEndEventData eventData) => Mark(eventData, false);

    /// <inheritdoc/>
    public Task TransactionRolledBackAsync(DbTransaction transaction, TransactionEndEventData eventData, CancellationToken cancellationToken = default)
    {
        Mark(eventData, false);
        return Task.CompletedTask;
    }

    /// <inheritdoc/>
    public void ConnectionClosed(DbConnection connection, ConnectionEndEventData eventData) => Mark(eventData, false);

    /// <inheritdoc/>
    public Task ConnectionClosedAsync(DbConnection connection, ConnectionEndEventData eventData)
    {
        Mark(eventData, false);
        return Task.CompletedTask;
    }

    /// <inheritdoc/>
    /// <exception cref="NpgsqlException">The transaction that was under way is lost.</exception>
    public InterceptionResult ConnectionOpening(DbConnection connection, ConnectionEventData eventData, InterceptionResult result)
    {
        Check(eventData);
        return result;
    }

    /// <inheritdoc/>
    /// <exception cref="NpgsqlException">The transaction that was under way is lost.</exception>
    public ValueTask<InterceptionResult> ConnectionOpeningAsync(
        DbConnection connection, ConnectionEventData eventData, InterceptionResult result, CancellationToken cancellationToken = default)
    {
        Check(eventData);
        return ValueTask.FromResult(result);
    }

    private static void Mark(DbContextEventData of, bool isUnderWay)
    {
        if (of.Context is KilnShareDb db) db.IsInTransaction = isUnderWay;
    }

    private static void Check(DbContextEventData of)
    {
        if (of.Context is not KilnShareDb { IsInTransaction: true } db) return;
        db.IsInTransaction = false;
        throw new NpgsqlException("The connection was lost within a transaction, and the transaction with it.");
    }
}
