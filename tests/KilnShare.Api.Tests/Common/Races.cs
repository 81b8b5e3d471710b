namespace KilnShare.Api.Tests.Common;

/// <summary>How often things are tried that go wrong only where two meet.</summary>
internal static class Races
{
    /// <summary>20 times, or 200 where there is time for it.</summary>
    public static int Times => Environment.GetEnvironmentVariable("KILNSHARE_SOAK") == "1" ? 200 : 20;

    /// <summary>Starts all of them as nearly together as can be, and waits for every answer.</summary>
    public static Task<Reply[]> Meet(params Func<Task<Reply>>[] requests) => Task.WhenAll(requests.Select(request => Task.Run(request)));
}
