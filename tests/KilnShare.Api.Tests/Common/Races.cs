namespace KilnShare.Api.Tests.Common;

/// <summary>Requests that are sent at the same moment, again and again: a race lost once in twenty is a race lost.</summary>
public static class Races
{
    /// <summary>How often a race is tried: 20 times, or 200 where KILNSHARE_SOAK is 1.</summary>
    public static int Tries { get; } = Environment.GetEnvironmentVariable("KILNSHARE_SOAK") == "1" ? 200 : 20;

    /// <summary>Sends them all at once.</summary>
    public static Task<Reply[]> AtOnce(params IEnumerable<Func<Task<Reply>>> requests) => Task.WhenAll(requests.Select(request => Task.Run(request)));
}
