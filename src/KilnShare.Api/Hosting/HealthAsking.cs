namespace KilnShare.Api.Hosting;

/// <summary>Asks a running service whether it can serve, for containers without any other program to do so.</summary>
public static class HealthAsking
{
    /// <summary>The argument before the address to ask.</summary>
    public const string Argument = "--check-health";

    /// <summary>0 when it can, 1 when not.</summary>
    public static async Task<int> Ask(string address)
    {
        using var client = new HttpClient { Timeout = TimeSpan.FromSeconds(4) };
        try
        {
            using var answer = await client.GetAsync(new Uri(address));
            return answer.IsSuccessStatusCode ? 0 : 1;
        }
        catch (Exception e) when (e is HttpRequestException or TaskCanceledException)
        {
            return 1;
        }
    }
}
