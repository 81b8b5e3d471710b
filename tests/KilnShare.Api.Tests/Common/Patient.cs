using System.Net;

namespace KilnShare.Api.Tests.Common;

/// <summary>
/// Asks again where the service says that it is busy (503), as loggers and scripts do: on a crowded machine a request may wait too long for a
/// connection, and what a test is about is whether everything is right afterwards.
/// </summary>
public sealed class Patient : DelegatingHandler
{
    private const int MostTries = 300;
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(100);

    protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
    {
        for (var tries = 1; ; tries++)
        {
            var response = await base.SendAsync(request, cancellationToken);
            if (response.StatusCode != HttpStatusCode.ServiceUnavailable || tries == MostTries) return response;
            response.Dispose();
            await Task.Delay(Pause, cancellationToken);
        }
    }
}
