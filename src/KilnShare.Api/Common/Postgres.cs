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
            PostgresErrorCodes.CheckViolation => OfWall(error.ConstraintName),
            _ => null,
        };
    }

    /// <summary>What the triggers of the database refuse, where a handler's own look came too early to see it.</summary>
    private static IResult? OfWall(string? wall) => wall switch
    {
        "ck_firing_kiln_here" => Problems.Answer(
            409, "kilns.put-away", "The kiln was put away while this firing was written down. Choose another kiln.", "/kilnId", null, null),
        "ck_booked_copy_piece_here" => Problems.Answer(
            409, "pieces.put-away", "A piece of this booking was put away while it was decided. Choose pieces that are listed, and book again.", "/pieces", null, null),
        "ck_kiln_in_use" => Problems.Answer(
            409, "kilns.has-firings", "A firing was planned in this kiln just now. Finish or cancel it first.", null, null, null),
        "ck_piece_in_use" => Problems.Answer(
            409, "pieces.booked", "A copy of this piece was booked just now. Withdraw the booking first.", null, null, null),
        "ck_member_owner" => Problems.Answer(
            409, "studios.last-owner", "The other owner was taken out just now, and a studio without an owner could not be run. Make another member an owner first.", "/role", null, null),
        "ck_meter_reading_order" => Problems.Answer(
            409, "energy.register-fell", "Another reading of this meter was written down just now, and the register would fall between the two. List the readings, and read the meter again.", "/registerKwh", null, null),
        "ck_meter_reading_shared" => Problems.Answer(
            409, "energy.shared-or-not", "Another reading of this meter was written down just now, and it says otherwise whether other kilns hang on it. Set shared as there.", "/shared", null, null),
        "ck_meter_reading_strike" => Problems.Answer(
            409, "energy.strike-leaves-fall", "Without this reading the register would fall between its neighbours. Strike the wrong one of those first.", null, null, null),
        _ => null,
    };

    private static IResult Busy() => Problems.Answer(
        503, "service.busy", "The database is busy or not to be reached. Try again in a moment with the same Idempotency-Key.", null, null, null);

    private static PostgresException? Inner(Exception exception) =>
        exception as PostgresException ?? (exception as DbUpdateException)?.InnerException as PostgresException ?? exception.InnerException as PostgresException;
}
