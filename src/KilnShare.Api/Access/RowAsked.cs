using KilnShare.Storage.Common;

namespace KilnShare.Api.Access;

/// <summary>Says of a route that it begins by reading one thing by its id, so that the thing can be asked for together with the token.</summary>
/// <param name="Question">The question.</param>
/// <param name="RouteValue">The name of the id in the route.</param>
internal sealed record RowAsked(RowQuestion Question, string RouteValue)
{
    /// <summary>What this request will ask first; null where that is not known.</summary>
    public static (RowQuestion Question, Guid Id)? By(HttpContext context) =>
        context.GetEndpoint()?.Metadata.GetMetadata<RowAsked>() is { Question.IsKnown: true } asked
        && context.GetRouteValue(asked.RouteValue) is string text && Guid.TryParseExact(text, "D", out var id)
            ? (asked.Question, id) : null;
}

/// <summary>Marks routes.</summary>
internal static class RowAskedMark
{
    /// <summary>The route is a GET whose handler begins with <see cref="Reading.ById{T}"/>.</summary>
    public static RouteHandlerBuilder ReadsFirst<T>(this RouteHandlerBuilder route, string routeValue)
        where T : class => route.WithMetadata(new RowAsked(Reading.QuestionOf<T>(), routeValue));
}
