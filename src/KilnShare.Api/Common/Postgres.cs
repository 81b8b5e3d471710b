using Npgsql;

namespace KilnShare.Api.Common;

/// <summary>What a PostgreSQL error means to a caller: one table, by SQLSTATE and constraint name.</summary>
public static class Postgres
{
    /// <summary>Classes of errors that pass by themselves or by whoever runs the database. Source: PostgreSQL 15, appendix A.</summary>
    private static readonly string[] AwayClasses =
    [
        "08", // connection exception
        "28", // invalid authorization: a node that does not let the service in
        "53", // insufficient resources: disk full, out of memory, too many connections
        "57", // operator intervention: stopped, crashed, starting, cancelled, idle too long
        "58", // system error outside of PostgreSQL: a disk, a file that is gone
    ];

    /// <summary>The same, one by one.</summary>
    private static readonly string[] AwayErrors =
    [
        PostgresErrorCodes.SerializationFailure, PostgresErrorCodes.DeadlockDetected, PostgresErrorCodes.StatementCompletionUnknown,
        PostgresErrorCodes.LockNotAvailable,
        PostgresErrorCodes.ReadOnlySqlTransaction, // a standby, or a leader that was made one
        PostgresErrorCodes.InvalidCatalogName,
        "25P03", // idle in a transaction for too long
        "25P04", // a transaction for too long (from PostgreSQL 17)
    ];

    /// <summary>True where the whole unit may be run again: serialization failure or deadlock.</summary>
    public static bool MayRetry(Exception exception) =>
        ErrorIn(exception)?.SqlState is PostgresErrorCodes.SerializationFailure or PostgresErrorCodes.DeadlockDetected;

    /// <summary>The server's SQLSTATE; null where it is not the server that speaks.</summary>
    public static string? StateOf(Exception exception) => ErrorIn(exception)?.SqlState;

    /// <summary>The constraint that refused, or null.</summary>
    public static string? ConstraintOf(Exception exception) => ErrorIn(exception)?.ConstraintName;

    /// <summary>True where the session may not write: the pool then holds connections to a node that is no leader.</summary>
    public static bool IsReadOnly(Exception exception) => ErrorIn(exception)?.SqlState == PostgresErrorCodes.ReadOnlySqlTransaction;

    /// <summary>The answer to a database error; null where it is a fault of ours.</summary>
    /// <param name="exception">The error, however it was wrapped.</param>
    /// <param name="howToRetry">What the caller does next (<see cref="Idempotency.HowToRetry"/>).</param>
    public static IResult? AnswerOf(Exception exception, string howToRetry)
    {
        if (IsAway(exception)) return Problems.Answer(503, "service.busy", "The database is busy or not to be reached. " + howToRetry, null, null, null);
        if (ErrorIn(exception) is not { } error) return null;
        return error.SqlState switch
        {
            PostgresErrorCodes.ExclusionViolation when error.ConstraintName == "ex_firing_kiln_time" => Problems.Answer(
                409, "kilns.time-taken", "The kiln is already kept for another firing in that time. Choose another start, or shorten one of them.", "/startsAt",
                    null, null),
            PostgresErrorCodes.UniqueViolation when error.ConstraintName == "ux_meter_reading_at" => Problems.Answer(
                409, "energy.reading-written", "A reading of this meter at this time is written down already. Send the next one with its own time.", "/readAt",
                    null, null),
            PostgresErrorCodes.CheckViolation when error.ConstraintName == "ck_ledger_entry_month_open" => Problems.Answer(
                409, "costs.month-closed", "The month was closed while this was written, and nothing was. Send it again: it then goes into the open month.",
                    null, null, null),
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
            409, "pieces.put-away", "A piece of this booking was put away while it was decided. Choose pieces that are listed, and book again.", "/pieces",
                null, null),
        "ck_kiln_in_use" => Problems.Answer(
            409, "kilns.has-firings", "A firing was planned in this kiln just now. Finish or cancel it first.", null, null, null),
        "ck_piece_in_use" => Problems.Answer(
            409, "pieces.booked", "A copy of this piece was booked just now. Withdraw the booking first.", null, null, null),
        "ck_member_owner" => Problems.Answer(
            409, "studios.last-owner",
                "The other owner was taken out just now, and a studio without an owner could not be run. Make another member an owner first.", "/role",
                null, null),
        "ck_meter_reading_order" => Problems.Answer(
            409, "energy.register-fell",
                "Another reading of this meter was written down just now, and the register would fall between the two. List the readings, and read the "
                    + "meter again.", "/registerKwh", null, null),
        "ck_meter_reading_shared" => Problems.Answer(
            409, "energy.shared-or-not",
                "Another reading of this meter was written down just now, and it says otherwise whether other kilns hang on it. Set shared as there.",
                "/shared", null, null),
        "ck_meter_reading_strike" => Problems.Answer(
            409, "energy.strike-leaves-fall", "Without this reading the register would fall between its neighbours. Strike the wrong one of those first.", null,
                null, null),
        _ => null,
    };

    /// <summary>True where the database does not serve at the moment, and the request is not at fault.</summary>
    public static bool IsAway(Exception exception) => ErrorIn(exception) is { } error
        ? AwayErrors.Contains(error.SqlState) || AwayClasses.Contains(error.SqlState[..2])
        : Chain(exception).Any(e => e is TimeoutException or NpgsqlException and not NpgsqlOperationInProgressException || IsStumble(e));

    /// <summary>
    /// Where a line is cut while a question is being sent, the driver stumbles over what it has cleared away itself; and every command that follows within
    /// the transaction that was lost is refused by it (both seen with Npgsql 10.0.3 and sessions ended under load).
    /// </summary>
    private static bool IsStumble(Exception exception) =>
        exception is NullReferenceException { Source: "Npgsql" } or InvalidOperationException { Source: "Npgsql", Message: "Transaction is already completed" };

    /// <summary>The server's own words: EF and the driver wrap them once, twice or in a list of the hosts that were tried.</summary>
    private static PostgresException? ErrorIn(Exception exception) => Chain(exception).OfType<PostgresException>().FirstOrDefault();

    private static IEnumerable<Exception> Chain(Exception exception) =>
        (exception is AggregateException many ? many.InnerExceptions : exception.InnerException is { } inner ? [inner] : (IEnumerable<Exception>)[])
        .SelectMany(Chain).Prepend(exception);
}
