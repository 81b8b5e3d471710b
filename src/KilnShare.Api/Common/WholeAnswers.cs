using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Http.Timeouts;

namespace KilnShare.Api.Common;

/// <summary>
/// An answer is written whole or not at all. It is made in memory and sent when it is done; whoever answers in its place (a time limit, a failure) takes
/// back what was written before. What a request has time for is counted until its handler has decided.
/// </summary>
internal static class WholeAnswers
{
    /// <summary>Makes the answer apart, and then sends it.</summary>
    public static async Task Send(HttpContext context, RequestDelegate next)
    {
        var server = context.Features.GetRequiredFeature<IHttpResponseBodyFeature>();
        await using var answer = new AnswerBuffer(context.RequestAborted);
        context.Features.Set(answer);
        context.Features.Set<IHttpResponseBodyFeature>(answer);
        try
        {
            await next(context);
        }
        finally
        {
            context.Features.Set(server);
        }

        if (answer.Length == 0) return;
        context.Response.ContentLength = answer.Length;
        await server.Writer.WriteAsync(answer.Written, answer.Connection);
    }

    /// <summary>The filter for every route: a decided answer is not cut off any more by the time limit, only by the caller's leaving.</summary>
    /// <exception cref="OperationCanceledException">The time was over, or the caller left.</exception>
    public static async ValueTask<object?> Filter(EndpointFilterInvocationContext invocation, EndpointFilterDelegate next)
    {
        var answer = await next(invocation);
        var context = invocation.HttpContext;
        context.Features.Get<IHttpRequestTimeoutFeature>()?.DisableTimeout();
        context.RequestAborted.ThrowIfCancellationRequested();
        context.RequestAborted = context.Features.GetRequiredFeature<AnswerBuffer>().Connection; // the time may be over in this very moment
        return answer;
    }
}
