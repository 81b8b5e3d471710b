using System.Diagnostics;
using System.Text.Json.Serialization;
using FluentValidation.Results;
using KilnShare.Core.Common;

namespace KilnShare.Api.Common;

/// <summary>A problem document (RFC 9457).</summary>
public sealed record Problem
{
    /// <summary>A URI of the kind of problem; stable.</summary>
    /// <example>urn:kilnshare:request.out-of-range</example>
    public required string Type { get; init; }

    /// <summary>The kind of problem in few words.</summary>
    /// <example>Bad request</example>
    public required string Title { get; init; }

    /// <summary>The HTTP status.</summary>
    /// <example>400</example>
    public required int Status { get; init; }

    /// <summary>What is wrong here, and what to do next.</summary>
    /// <example>Takes a number above 0 and up to 5000.</example>
    public required string Detail { get; init; }

    /// <summary>Stable code, capability.what-is-wrong.</summary>
    /// <example>request.out-of-range</example>
    public required string Code { get; init; }

    /// <summary>The field as a JSON pointer (RFC 6901), where there is one.</summary>
    /// <example>/pieces/0/heightMm</example>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Pointer { get; init; }

    /// <summary>Every field that is wrong, where there are several.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<FieldProblem>? Errors { get; init; }

    /// <summary>Figures and names behind the refusal.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyDictionary<string, object?>? Values { get; init; }

    /// <summary>Names this request in the service's log.</summary>
    public required string TraceId { get; init; }
}

/// <summary>One field that is wrong.</summary>
public sealed record FieldProblem
{
    /// <summary>The field as a JSON pointer.</summary>
    public required string Pointer { get; init; }

    /// <summary>Stable code.</summary>
    public required string Code { get; init; }

    /// <summary>What it takes.</summary>
    public required string Detail { get; init; }
}

/// <summary>Answers that are problem documents.</summary>
public static class Problems
{
    /// <summary>The media type of a problem document.</summary>
    public const string MediaType = "application/problem+json";

    /// <summary>A refusal of Core as an answer.</summary>
    public static IResult Of(Refusal refusal)
    {
        var status = StatusOf(refusal.Kind);
        return Answer(status, refusal.Code, refusal.Message, refusal.Pointer, null, refusal.Values.Count == 0 ? null : refusal.Values);
    }

    /// <summary>Fields that a validator refused.</summary>
    public static IResult Of(ValidationResult result)
    {
        var errors = result.Errors.Take(20)
            .Select(e => new FieldProblem { Pointer = Pointer(e.PropertyName), Code = CodeOf(e), Detail = e.ErrorMessage }).ToList();
        return Answer(StatusCodes.Status400BadRequest, errors[0].Code, errors[0].Detail, errors[0].Pointer, errors.Count > 1 ? errors : null, null);
    }

    /// <summary>There is no such thing, or it is another studio's: both look the same.</summary>
    public static IResult Absent() => Answer(
        StatusCodes.Status404NotFound, "request.not-found", "There is no such thing in your studio. Check the id.", null, null, null);

    /// <summary>Any other refusal at the edge.</summary>
    public static IResult Answer(
        int status, string code, string detail, string? pointer, IReadOnlyList<FieldProblem>? errors, IReadOnlyDictionary<string, object?>? values) =>
        new ProblemAnswer(new Problem
        {
            Type = "urn:kilnshare:" + code,
            Title = TitleOf(status),
            Status = status,
            Detail = detail,
            Code = code,
            Pointer = pointer,
            Errors = errors,
            Values = values,
            TraceId = Activity.Current?.TraceId.ToString() ?? "",
        });

    /// <summary>The JSON pointer of a validator's or reader's path: <c>pieces[0].heightMm</c> or <c>$.pieces[0].heightMm</c>.</summary>
    public static string Pointer(string? path)
    {
        var pointer = new System.Text.StringBuilder();
        foreach (var part in (path ?? "").TrimStart('$').Replace("['", ".", StringComparison.Ordinal).Replace("']", "", StringComparison.Ordinal)
            .Split(['.', '[', ']'], StringSplitOptions.RemoveEmptyEntries))
            pointer.Append('/').Append(Escape(part));
        return pointer.ToString();
    }

    /// <summary>One part of a JSON pointer (RFC 6901).</summary>
    public static string Escape(string part) => part.Replace("~", "~0", StringComparison.Ordinal).Replace("/", "~1", StringComparison.Ordinal);

    /// <summary>The usual words for a status.</summary>
    public static string TitleOf(int status) => status switch
    {
        400 => "Bad request",
        401 => "Not authenticated",
        403 => "Not allowed",
        404 => "Not found",
        405 => "Method not allowed",
        406 => "Not acceptable",
        408 => "Request timed out",
        409 => "Conflict",
        412 => "Changed meanwhile",
        413 => "Too large",
        415 => "Unsupported media type",
        422 => "Refused by a rule",
        428 => "Precondition required",
        429 => "Too many requests",
        503 => "Busy",
        _ => "Error",
    };

    private static int StatusOf(RefusalKind kind) => kind switch
    {
        RefusalKind.Invalid => StatusCodes.Status400BadRequest,
        RefusalKind.Forbidden => StatusCodes.Status403Forbidden,
        RefusalKind.Absent => StatusCodes.Status404NotFound,
        RefusalKind.Conflict => StatusCodes.Status409Conflict,
        RefusalKind.Stale => StatusCodes.Status412PreconditionFailed,
        RefusalKind.Busy => StatusCodes.Status503ServiceUnavailable,
        _ => StatusCodes.Status422UnprocessableEntity,
    };

    private static string CodeOf(ValidationFailure failure) =>
        failure.ErrorCode.Contains('.', StringComparison.Ordinal) ? failure.ErrorCode : "request.out-of-range";

    private sealed class ProblemAnswer(Problem problem) : IResult, IStatusCodeHttpResult, IValueHttpResult
    {
        public int? StatusCode => problem.Status;

        public object Value => problem;

        public Task ExecuteAsync(HttpContext httpContext)
        {
            httpContext.Response.StatusCode = problem.Status;
            if (problem.Status == StatusCodes.Status503ServiceUnavailable && !httpContext.Response.Headers.ContainsKey("Retry-After"))
                httpContext.Response.Headers.RetryAfter = "2";
            var named = problem with { TraceId = problem.TraceId.Length > 0 ? problem.TraceId : httpContext.TraceIdentifier };
            return httpContext.Response.WriteAsJsonAsync(named, Json.Options, MediaType + "; charset=utf-8", httpContext.RequestAborted);
        }
    }
}
