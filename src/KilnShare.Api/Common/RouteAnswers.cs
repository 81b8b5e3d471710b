namespace KilnShare.Api.Common;

/// <summary>Says in the document what a route answers and refuses.</summary>
public static class RouteAnswers
{
    /// <summary>The body of a good answer, and the refusals that any route has.</summary>
    public static RouteHandlerBuilder Answers<T>(this RouteHandlerBuilder route, int status = StatusCodes.Status200OK) => route
        .Produces<T>(status)
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
