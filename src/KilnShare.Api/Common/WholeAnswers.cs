using KilnShare.Api.Access;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Http.Timeouts;

namespace KilnShare.Api.Common;

/// <summary>
/// An answer is written whole or not at all. It is made in memory and sent when it is done; whoever answers in its place (a time limit, a failure) takes
/// back what was written before. What a request has time for is counted until its handler has decided.
/// </summary>
internal static class WholeAnswers
{
    /// <summary>Cache-Control of what is kept nowhere.</summary>
    internal const string Unkept = "no-store";

    /// <summary>Makes the answer apart, and then sends it. HEAD is asked as GET is, and answered without a body.</summary>
    public static async Task Send(HttpContext context, RequestDelegate next)
    {
        var server = context.Features.GetRequiredFeature<IHttpResponseBodyFeature>();
        await using var answer = new AnswerBuffer(context.RequestAborted);
        context.Features.Set(answer);
        context.Features.Set<IHttpResponseBodyFeature>(answer);
        var isHead = HttpMethods.IsHead(context.Request.Method);
        if (isHead) context.Request.Method = HttpMethods.Get;
        try
        {
            await next(context);
        }
        finally
        {
            context.Features.Set(server);
            if (isHead) context.Request.Method = HttpMethods.Head;
        }

        if (context.Response.Headers.Allow is { Count: 1 } allowed && allowed.ToString().Contains("GET", StringComparison.Ordinal))
            context.Response.Headers.Allow = allowed + ", HEAD";
        if (answer.Length > 0) await Send(context, answer, isHead ? null : server);
    }

    /// <summary>Sends it with its ETag, packed where that is wanted, or says that the reader has it.</summary>
    private static async Task Send(HttpContext context, AnswerBuffer answer, IHttpResponseBodyFeature? to)
    {
        var headers = context.Response.Headers;
        var (coding, plain) = (PackedAnswer.CodingOf(context, answer.Length), await answer.Written());
        if (AccessTable.RowOf(context) is { TellsSecret: true }) headers.CacheControl = Unkept;
        else Versions.Tag(context, plain, coding);
        if (Versions.IsHeld(context))
        {
            context.Response.StatusCode = StatusCodes.Status304NotModified;
            (context.Response.ContentType, headers.ContentLength) = (null, null);
            headers.Remove("Content-Disposition");
            return;
        }

        await using var packed = coding is null ? null : await PackedAnswer.Pack(plain, coding);
        if (packed is not null) headers.ContentEncoding = coding;
        headers.ContentLength = (packed ?? answer).Length;
        if (to is null) return;
        foreach (var part in packed is null ? plain : await packed.Written()) await to.Writer.WriteAsync(part, answer.Connection);
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
