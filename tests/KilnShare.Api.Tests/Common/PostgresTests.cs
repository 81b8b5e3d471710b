using System.Net.Sockets;
using KilnShare.Api.Common;
using Microsoft.AspNetCore.Http;
using Microsoft.EntityFrameworkCore;
using Npgsql;

namespace KilnShare.Api.Tests.Common;

/// <summary>What is answered where the database refuses or is gone, however EF and the driver wrapped its words.</summary>
public sealed class PostgresTests
{
    /// <summary>SQLSTATEs of a database that is away, busy or no leader. Source: PostgreSQL 15, appendix A.</summary>
    public static readonly TheoryData<string> Away =
    [
        "08000", "08003", "08006", "08001", "08004", "08007", "08P01", "25006", "25P03", "25P04", "28000", "28P01", "3D000", "40001", "40003", "40P01", "53000",
            "53100", "53200",
        "53300", "53400", "55P03", "57000", "57014", "57P01", "57P02", "57P03", "57P04", "57P05", "58000", "58030", "58P01",
    ];

    [Theory]
    [MemberData(nameof(Away))]
    public void A_database_that_is_away_is_answered_by_503_however_its_error_is_wrapped(string state)
    {
        Assert.All(Wrapped(new PostgresException("x", "FATAL", "FATAL", state)), e => Assert.Equal(503, StatusOf(e)));
        Assert.Equal(state == "25006", Wrapped(new PostgresException("x", "ERROR", "ERROR", state)).All(Postgres.IsReadOnly));
    }

    [Theory]
    [InlineData("23505")] // a unique index that the code did not think of
    [InlineData("42501")] // a wall
    [InlineData("42601")] // wrong SQL
    [InlineData("22001")]
    [InlineData("XX000")]
    public void A_fault_of_ours_is_none_of_the_databases(string state) =>
        Assert.All(Wrapped(new PostgresException("x", "ERROR", "ERROR", state)), e => Assert.Null(StatusOf(e)));

    [Fact]
    public void A_line_that_is_cut_is_answered_by_503_however_the_driver_says_it()
    {
        Exception[] cut =
        [
            new NpgsqlException("Exception while reading from stream", new EndOfStreamException()),
            new NpgsqlException("Exception while reading from stream", new IOException("x", new SocketException(104))),
            new NpgsqlException("Failed to connect", new SocketException(111)),
            new NpgsqlException("The connection pool has been exhausted", new TimeoutException()),
            new NpgsqlException(
                "No suitable host was found.", new AggregateException(new NpgsqlException("one"), new NpgsqlException("two", new SocketException(111)))),
            new NpgsqlException("No suitable host was found.", new AggregateException(new PostgresException("x", "FATAL", "FATAL", "57P03"))),
            new NpgsqlException("No suitable host was found."),
            Nothing("Npgsql"), // the driver's own stumble over a line that is cut while it writes
        ];
        Assert.All(cut.SelectMany(Wrapped), e => Assert.Equal(503, StatusOf(e)));
    }

    [Fact]
    public void What_is_no_word_of_the_database_is_not_answered_for_it() =>
        Assert.All(new Exception[] { new InvalidOperationException("Sequence contains no elements"), new DbUpdateException(
            "x", new InvalidCastException()), new IOException("a file"), Nothing("KilnShare.Api") }, e => Assert.Null(StatusOf(e)));

    [Fact]
    public void A_race_is_run_again_and_a_constraint_is_named_however_they_are_wrapped()
    {
        Assert.All(Wrapped(new PostgresException("x", "ERROR", "ERROR", "40P01")), e => Assert.True(Postgres.MayRetry(e)));
        Assert.All(Wrapped(new PostgresException("x", "ERROR", "ERROR", "23P01", constraintName: "ex_firing_kiln_time")), e =>
        {
            Assert.Equal("ex_firing_kiln_time", Postgres.ConstraintOf(e));
            Assert.Equal(409, StatusOf(e));
        });
    }

    /// <summary>What the runtime throws where something is missing, as from an assembly.</summary>
    private static Exception Nothing(string source)
    {
        var exception = Activator.CreateInstance<NullReferenceException>();
        exception.Source = source;
        return exception;
    }

    /// <summary>An error bare, as EF throws it from a query, from saving, and from saving where the error may pass; and the last once more in a list.</summary>
    private static IEnumerable<Exception> Wrapped(Exception error)
    {
        var saving = new DbUpdateException("An error occurred while saving the entity changes.", error);
        var passing = new InvalidOperationException("An exception has been raised that is likely due to a transient failure.", saving);
        return [error, new InvalidOperationException(
            "likely due to a transient failure", error), saving, passing, new AggregateException(new InvalidOperationException("first"), passing)];
    }

    private static int? StatusOf(Exception exception) => (Postgres.AnswerOf(exception, "Try again.") as IStatusCodeHttpResult)?.StatusCode;
}
