using System.Text.Json;
using KilnShare.Api.Hosting;
using Microsoft.AspNetCore.Diagnostics;

namespace KilnShare.Api.Common;

/// <summary>Turns what the framework throws at the edge into problem documents; its own texts name .NET types and are not shown.</summary>
public sealed class EdgeExceptions(Databases databases, ILogger<EdgeExceptions> log) : IExceptionHandler
{
    /// <inheritdoc/>
    public async ValueTask<bool> TryHandleAsync(HttpContext httpContext, Exception exception, CancellationToken cancellationToken)
    {
        if (exception is OperationCanceledException && httpContext.RequestAborted.IsCancellationRequested) return true;
        databases.Heed(exception);
        await Answer(exception, httpContext).ExecuteAsync(httpContext);
        return true;
    }

    private IResult Answer(Exception exception, HttpContext context)
    {
        switch (exception)
        {
            case BadHttpRequestException { InnerException: JsonException json }:
                return Of(json);
            case JsonException json:
                return Of(json);
            case BadHttpRequestException bad:
                return OfStatus(bad.StatusCode);
            default:
                var next = Idempotency.HowToRetry(context);
                if ((Collisions.AnswerOf(exception) ?? Postgres.AnswerOf(exception, next)) is { } answer) return answer;
                log.LogError(exception, "Unexpected failure");
                return Problems.Answer(500, "service.failed", "Something went wrong in the service. " + next, null, null, null);
        }
    }

    /// <summary>The problem document of a status that the framework itself answers with.</summary>
    public static IResult OfStatus(int status) => status switch
    {
        404 => Problems.Answer(404, "request.no-such-path", "There is no such path. The document at /openapi/v1.json lists them.", null, null, null),
        406 => Problems.Answer(
            406, "request.not-acceptable", "This call has no answer of a type that Accept takes. Send Accept: */*, or leave it out.", null, null, null),
        405 => Problems.Answer(405, "request.method", "This path does not take that method. The Allow header lists those it takes.", null, null, null),
        408 => Problems.Answer(408, "request.timed-out", "The body came too slowly. Send it again.", null, null, null),
        413 => Problems.Answer(413, "request.too-large", "The body is larger than this call takes. Send it in parts.", null, null, null),
        415 => Problems.Answer(415, "request.media-type",
            "Send application/json in UTF-8, application/merge-patch+json to a PATCH, or text/csv where the call takes a table.", null, null, null),
        431 => Problems.Answer(431, "request.headers-too-large", "The headers are larger than the service takes.", null, null, null),
        400 => Problems.Answer(
            400, "request.malformed", "The request could not be read: a body, header or query value is missing or malformed.", null, null, null),
        _ => Problems.Answer(status, "request.refused", Problems.TitleOf(status) + ".", null, null, null),
    };

    private static IResult Of(JsonException json)
    {
        var pointer = Problems.Pointer(json.Path);
        if (json.Message.Contains("missing required", StringComparison.Ordinal) && Missing(json.Message, pointer) is { Count: > 0 } missing)
            return Problems.Answer(400, missing[0].Code, missing[0].Detail, missing[0].Pointer, missing.Count > 1 ? missing : null, null);
        if (json is BadValueException bad) return Problems.Answer(400, bad.Code, bad.Message, pointer, null, null);
        var (code, detail) = json.Message switch
        {
            var m when m.Contains("could not be mapped", StringComparison.Ordinal) =>
                ("request.unknown-field", "There is no such field here. Check its spelling."),
            var m when m.Contains("uplicate", StringComparison.Ordinal) => ("request.duplicate-field", "The field stands twice. Send it once."),
            _ => ("request.malformed", "The JSON could not be read here: a value is missing, null, or of another type than this field takes."),
        };
        return Problems.Answer(400, code, detail, pointer, null, null);
    }

    /// <summary>Every missing field, out of the reader's message, which lists them in quotes after a colon.</summary>
    private static List<FieldProblem> Missing(string message, string pointer) =>
    [
        .. message.Split('\'').Where((_, i) => i % 2 == 1).Skip(1)
            .Select(name => new FieldProblem { Pointer = $"{pointer}/{Problems.Escape(name)}", Code = "request.missing-field",
                Detail = $"A required field is missing: {name}." }),
    ];
}
