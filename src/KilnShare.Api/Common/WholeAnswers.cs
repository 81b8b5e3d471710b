using Microsoft.AspNetCore.Http.Timeouts;

namespace KilnShare.Api.Common;

/// <summary>
/// An answer is written whole or not at all. What a request has time for is counted until its handler has decided: where the time was over
/// before, nothing is written but that; from then on it is not counted, since an answer that it broke off would look like a good one.
/// </summary>
internal static class WholeAnswers
{
    /// <summary>The filter for every route.</summary>
    /// <exception cref="OperationCanceledException">The time was over, or the caller left.</exception>
    public static async ValueTask<object?> Filter(EndpointFilterInvocationContext invocation, EndpointFilterDelegate next)
    {
        var answer = await next(invocation);
        invocation.HttpContext.Features.Get<IHttpRequestTimeoutFeature>()?.DisableTimeout();
        invocation.HttpContext.RequestAborted.ThrowIfCancellationRequested();
        return answer;
    }
}
