using System.Collections.Concurrent;
using Microsoft.AspNetCore.Http.Metadata;
using Microsoft.Net.Http.Headers;

namespace KilnShare.Api.Common;

/// <summary>
/// Holds to Accept (RFC 9110, section 12.5.1) before anything is done: an answer that the caller cannot read would tell of an effect in vain.
/// </summary>
internal static class AcceptCheck
{
    private static readonly ConcurrentDictionary<Endpoint, List<MediaTypeHeaderValue>> Types = new();

    /// <summary>Answers 406, or passes on. What Accept says of problem documents is not asked: they are better than nothing.</summary>
    public static Task Pass(HttpContext context, RequestDelegate next)
    {
        var accepted = context.Request.Headers.Accept;
        if (accepted.Count == 0 || context.GetEndpoint() is not { } call || !MediaTypeHeaderValue.TryParseList(accepted.ToArray()!, out var ranges))
            return next(context);
        var types = Types.GetOrAdd(call, TypesOf);
        return types.Count == 0 || types.Exists(t => Takes(ranges, t))
            ? next(context) : EdgeExceptions.OfStatus(StatusCodes.Status406NotAcceptable).ExecuteAsync(context);
    }

    private static List<MediaTypeHeaderValue> TypesOf(Endpoint call) =>
    [
        .. call.Metadata.GetOrderedMetadata<IProducesResponseTypeMetadata>().Where(p => p.StatusCode is >= 200 and < 300)
            .SelectMany(p => p.ContentTypes).Select(t => new MediaTypeHeaderValue(t)),
    ];

    /// <summary>The narrowest range that holds the type decides.</summary>
    private static bool Takes(IList<MediaTypeHeaderValue> ranges, MediaTypeHeaderValue type) =>
        ranges.Where(r => IsIn(type, r)).OrderBy(r => r.MatchesAllTypes ? 2 : r.MatchesAllSubTypes ? 1 : 0).FirstOrDefault() is { } range
            && (range.Quality ?? 1) > 0;

    private static bool IsIn(MediaTypeHeaderValue type, MediaTypeHeaderValue range) => range.MatchesAllTypes
        || (type.Type.Equals(range.Type, StringComparison.OrdinalIgnoreCase)
            && (range.MatchesAllSubTypes || type.SubType.Equals(range.SubType, StringComparison.OrdinalIgnoreCase)));
}
