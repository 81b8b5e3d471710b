using System.Globalization;
using KilnShare.Core.Common;

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

    /// <summary>Where the page begins and how long it is; null with the refusal when the asked values are no good.</summary>
    public static Refusal? Read(string? after, int? limit, out Guid from, out int take)
    {
        from = Guid.Empty;
        take = limit ?? Usual;
        if (limit is < 1 or > Most) return Refusal.Invalid("request.out-of-range", $"limit takes 1 to {Most}.", "/limit");
        return after is null || Guid.TryParseExact(after, "D", out from)
            ? null : Refusal.Invalid("request.bad-cursor", "after takes the next of an earlier page.", "/after");
    }

    /// <summary>The page out of one row more than asked for, with its Link header (RFC 8288).</summary>
    public static IResult Answer<TRow, T>(HttpContext context, List<TRow> rows, int take, Func<TRow, Guid> id, Func<TRow, T> answer)
    {
        var next = rows.Count > take ? id(rows[take - 1]).ToString("D") : null;
        if (next is not null) context.Response.Headers.Link = $"<{context.Request.Path}{Query(context.Request.Query, next, take)}>; rel=\"next\"";
        return TypedResults.Ok(new Page<T> { Items = [.. rows.Take(take).Select(answer)], Next = next });
    }

    /// <summary>What else was asked for is asked for on the next page too.</summary>
    private static QueryString Query(IQueryCollection asked, string after, int limit) =>
        QueryString.Create(asked.Where(q => q.Key is not ("after" or "limit"))).Add("after", after).Add("limit", limit.ToString(CultureInfo.InvariantCulture));
}
