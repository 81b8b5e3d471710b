namespace KilnShare.Api.Common;

/// <summary>Says in the document what a route answers and refuses.</summary>
public static class RouteAnswers
{
    /// <summary>The body of a good answer, and the refusals that any route has.</summary>
    public static RouteHandlerBuilder Answers<T>(this RouteHandlerBuilder route, int status = StatusCodes.Status200OK) => route
        .Produces<T>(status)
        .RefusesAsAny();

    /// <summary>An answer without a body, and the refusals that any route has.</summary>
    public static RouteHandlerBuilder AnswersNothing(this RouteHandlerBuilder route) => route.Produces(StatusCodes.Status204NoContent).RefusesAsAny();

    /// <summary>A merge patch of a contract under If-Match.</summary>
    public static RouteHandlerBuilder Edits<TBody>(this RouteHandlerBuilder route)
        where TBody : notnull => route
        .Accepts<TBody>(MergePatch.MediaType)
        .Refuses(StatusCodes.Status412PreconditionFailed, StatusCodes.Status415UnsupportedMediaType, StatusCodes.Status428PreconditionRequired);

    /// <summary>Putting away under If-Match.</summary>
    public static RouteHandlerBuilder Archives(this RouteHandlerBuilder route) => route
        .AnswersNothing().Refuses(StatusCodes.Status412PreconditionFailed, StatusCodes.Status428PreconditionRequired);

    private static RouteHandlerBuilder RefusesAsAny(this RouteHandlerBuilder route) => route
        .Produces<Problem>(StatusCodes.Status400BadRequest, Problems.MediaType)
        .Produces<Problem>(StatusCodes.Status401Unauthorized, Problems.MediaType)
        .Produces<Problem>(StatusCodes.Status403Forbidden, Problems.MediaType)
        .Produces<Problem>(StatusCodes.Status404NotFound, Problems.MediaType)
        .Produces<Problem>(StatusCodes.Status429TooManyRequests, Problems.MediaType);

    /// <summary>Further refusals of this route.</summary>
    public static RouteHandlerBuilder Refuses(this RouteHandlerBuilder route, params int[] statuses)
    {
        foreach (var status in statuses) route.Produces<Problem>(status, Problems.MediaType);
        return route;
    }
}
