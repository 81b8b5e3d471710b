using System.Diagnostics;
using KilnShare.Api.Access;

namespace KilnShare.Api.Hosting;

/// <summary>One line a request: which call, by whom, how it ended. Never a path, query, header or body as the client wrote it.</summary>
public sealed class RequestLog(RequestDelegate next, ILogger<RequestLog> log)
{
    private static readonly Action<ILogger, string, string, int, double, string, Exception?> Line = LoggerMessage.Define<string, string, int, double, string>(
        LogLevel.Information, new EventId(1, "request"), "{Method} {Operation} {Status} {Milliseconds} {Member}");

    /// <summary>Passes on, then writes the line.</summary>
    public async Task InvokeAsync(HttpContext context)
    {
        var start = Stopwatch.GetTimestamp();
        await next(context);
        var operation = context.GetEndpoint()?.Metadata.GetMetadata<IEndpointNameMetadata>()?.EndpointName ?? "none";
        if (operation.StartsWith("health", StringComparison.Ordinal)) return;
        var elapsed = Math.Round(Stopwatch.GetElapsedTime(start).TotalMilliseconds, 1);
        Line(log, MethodOf(context.Request), operation, context.Response.StatusCode, elapsed, context.Features.Get<Caller>()?.MemberId.ToString()
            ?? "none", null);
    }

    private static string MethodOf(HttpRequest request) =>
        request.Method is "GET" or "HEAD" or "POST" or "PUT" or "PATCH" or "DELETE" ? request.Method : "other";
}
