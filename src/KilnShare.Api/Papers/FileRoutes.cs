using KilnShare.Api.Common;

namespace KilnShare.Api.Papers;

/// <summary>Says in the document that a route answers with a file.</summary>
public static class FileRoutes
{
    /// <summary>A table for spreadsheets.</summary>
    public static RouteHandlerBuilder AnswersCsv(this RouteHandlerBuilder route) => route.AnswersFile("text/csv");

    /// <summary>A paper to print.</summary>
    public static RouteHandlerBuilder AnswersPdf(this RouteHandlerBuilder route) => route.AnswersFile("application/pdf");

    /// <summary>A picture.</summary>
    public static RouteHandlerBuilder AnswersSvg(this RouteHandlerBuilder route) => route.AnswersFile(SketchSvg.MediaType);

    /// <summary>A calendar.</summary>
    public static RouteHandlerBuilder AnswersCalendar(this RouteHandlerBuilder route) => route.AnswersFile("text/calendar");

    private static RouteHandlerBuilder AnswersFile(this RouteHandlerBuilder route, string mediaType) => route
        .Produces<Stream>(StatusCodes.Status200OK, mediaType)
        .Refuses(400, 401, 403, 404, 422, 429);
}
