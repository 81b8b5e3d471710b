using Microsoft.EntityFrameworkCore;
using Npgsql;

namespace KilnShare.Api.Common;

/// <summary>What a PostgreSQL error means to a caller: one table, by SQLSTATE and constraint name.</summary>
public static class Postgres
{
    /// <summary>True where the whole unit may be run again: serialization failure or deadlock.</summary>
    public static bool MayRetry(Exception exception) =>
        Inner(exception)?.SqlState is PostgresErrorCodes.SerializationFailure or PostgresErrorCodes.DeadlockDetected;

    /// <summary>The constraint that refused, or null.</summary>
    public static string? ConstraintOf(Exception exception) => Inner(exception)?.ConstraintName;

    /// <summary>The answer to a database error; null where it is a fault of ours.</summary>
    public static IResult? AnswerOf(Exception exception)
    {
        if (Inner(exception) is not { } error)
        {
            return exception is NpgsqlException or TimeoutException || exception.InnerException is NpgsqlException { IsTransient: true }
                ? Busy() : null;
        }

        return error.SqlState switch
        {
            PostgresErrorCodes.SerializationFailure or PostgresErrorCodes.DeadlockDetected or PostgresErrorCodes.LockNotAvailable
                or PostgresErrorCodes.QueryCanceled or PostgresErrorCodes.DiskFull or PostgresErrorCodes.OutOfMemory
                or PostgresErrorCodes.TooManyConnections or PostgresErrorCodes.AdminShutdown or PostgresErrorCodes.CrashShutdown
                or PostgresErrorCodes.CannotConnectNow => Busy(),
            PostgresErrorCodes.ExclusionViolation when error.ConstraintName == "ex_firing_kiln_time" => Problems.Answer(
                409, "kilns.time-taken", "The kiln is already kept for another firing in that time. Choose another start, or shorten one of them.", "/startsAt", null, null),
            PostgresErrorCodes.UniqueViolation when error.ConstraintName == "ux_meter_reading_at" => Problems.Answer(
                409, "energy.reading-written", "A reading of this meter at this time is written down already. Send the next one with its own time.", "/readAt", null, null),
            PostgresErrorCodes.CheckViolation when error.ConstraintName == "ck_ledger_entry_month_open" => Problems.Answer(
                409, "costs.month-closed", "The month was closed while this was written, and nothing was. Send it again: it then goes into the open month.", null, null, null),
            _ => null,
        };
    }

    private static IResult Busy() => Problems.Answer(
        503, "service.busy", "The database is busy or not to be reached. Try again in a moment with the same Idempotency-Key.", null, null, null);

    private static PostgresException? Inner(Exception exception) =>
        exception as PostgresException ?? (exception as DbUpdateException)?.InnerException as PostgresException ?? exception.InnerException as PostgresException;
}
