using System.Globalization;
using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Api.Common;

/// <summary>One page of a list, oldest first.</summary>
public sealed record Page<T>
{
    /// <summary>The entries.</summary>
    public required IReadOnlyList<T> Items { get; init; }

    /// <summary>What to pass as after for the next page; null at the end.</summary>
    public required string? Next { get; init; }
}

/// <summary>Keyset pages: identities sort by the time they were made.</summary>
public static class Pages
{
    /// <summary>Entries on a page where none are asked for.</summary>
    public const int Usual = 50;

    /// <summary>Most entries on a page.</summary>
    public const int Most = 200;

    private const int TicksPerMicrosecond = 10;

    // The times that PostgreSQL and this program both know.
    private static readonly long Earliest = Instant.FromUtc(1, 1, 1, 0, 0).ToUnixTimeTicks() / TicksPerMicrosecond;
    private static readonly long Latest = Instant.FromUtc(9999, 12, 31, 0, 0).ToUnixTimeTicks() / TicksPerMicrosecond;

    private static Refusal BadCursor => Refusal.Invalid("request.bad-cursor", "after takes the next of an earlier page.", "/after");

    /// <summary>Where the page begins and how long it is; null with the refusal when the asked values are no good.</summary>
    public static Refusal? Read(string? after, int? limit, out Guid from, out int take)
    {
        from = Guid.Empty;
        take = limit ?? Usual;
        if (limit is < 1 or > Most) return Refusal.Invalid("request.out-of-range", $"limit takes 1 to {Most}.", "/limit");
        return after is null || Guid.TryParseExact(after, "D", out from)
            ? null : BadCursor;
    }

    /// <summary>
    /// The same of a list in the order of a time: its cursor is the time and the identity of the last row, so that a row which is moved later does
    /// not move the page.
    /// </summary>
    public static Refusal? Read(string? after, int? limit, out Instant at, out Guid from, out int take)
    {
        at = Instant.MinValue;
        var parts = after?.Split('.');
        if (Read(parts?[^1], limit, out from, out take) is { } refusal) return refusal;
        if (parts is null) return null;
        if (parts.Length != 2 || !long.TryParse(parts[0], NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var microseconds)
            || microseconds < Earliest || microseconds > Latest) return BadCursor;
        at = Instant.FromUnixTimeTicks(microseconds * TicksPerMicrosecond);
        return null;
    }

    /// <summary>The cursor behind a row of a list in the order of a time, as the database keeps it: whole microseconds since 1970, and the identity.</summary>
    public static string Cursor(Instant at, Guid id) => string.Create(CultureInfo.InvariantCulture, $"{at.ToUnixTimeTicks() / TicksPerMicrosecond}.{id:D}");

    /// <summary>The page out of one row more than asked for, with its Link header (RFC 8288).</summary>
    public static IResult Answer<TRow, T>(HttpContext context, List<TRow> rows, int take, Func<TRow, Guid> id, Func<TRow, T> answer) =>
        Answer(context, rows, take, row => id(row).ToString("D"), answer);

    /// <summary>The same of a list with cursors of its own.</summary>
    public static IResult Answer<TRow, T>(HttpContext context, List<TRow> rows, int take, Func<TRow, string> cursor, Func<TRow, T> answer)
    {
        var next = rows.Count > take ? cursor(rows[take - 1]) : null;
        if (next is not null) context.Response.Headers.Link = $"<{context.Request.Path}{Query(context.Request.Query, next, take)}>; rel=\"next\"";
        return TypedResults.Ok(new Page<T> { Items = [.. rows.Take(take).Select(answer)], Next = next });
    }

    /// <summary>What else was asked for is asked for on the next page too.</summary>
    private static QueryString Query(IQueryCollection asked, string after, int limit) =>
        QueryString.Create(asked.Where(q => q.Key is not ("after" or "limit"))).Add("after", after).Add("limit", limit.ToString(CultureInfo.InvariantCulture));
}
