using System.Collections.Concurrent;
using System.Text.Json;

namespace KilnShare.Benchmarks.Serving;

/// <summary>Twenty stops and starts under load: what was acknowledged is there, once.</summary>
internal static class Restarts
{
    private const int Times = 20;
    private const int Clients = 8;

    /// <summary>True when nothing acknowledged was lost or doubled.</summary>
    public static async Task<bool> Print()
    {
        await using var service = new ServiceProcess(18_093);
        await service.Start();
        var (studio, token) = await service.MakeStudio();
        var member = (await service.Ask(token, HttpMethod.Post, studio + "/members", new { name = "Mira", role = "potter" })).GetProperty("id").GetGuid();
        var accepted = new ConcurrentDictionary<string, bool>(StringComparer.Ordinal);
        using var end = new CancellationTokenSource();
        var clients = Enumerable.Range(0, Clients).Select(client => Pay(service, studio, token, member, client, accepted, end.Token)).ToList();
        for (var i = 0; i < Times; i++)
        {
            await Task.Delay(300);
            await service.Stop();
            await service.Start();
        }

        await end.CancelAsync();
        await Task.WhenAll(clients);
        var listed = new List<string>();
        for (string? after = null; ;)
        {
            var page = await service.Ask(token, HttpMethod.Get, $"{studio}/payments?limit=200{(after is null ? "" : "&after=" + after)}");
            listed.AddRange(page.GetProperty("items").EnumerateArray().Select(p => p.GetProperty("reason").GetString()!));
            if (page.GetProperty("next").ValueKind == JsonValueKind.Null) break;
            after = page.GetProperty("next").GetString();
        }

        var lost = accepted.Keys.Except(listed, StringComparer.Ordinal).Count();
        var doubled = listed.GroupBy(r => r, StringComparer.Ordinal).Count(g => g.Count() > 1);
        Console.WriteLine($"| {Times} restarts under {Clients} clients | {accepted.Count} acknowledged | {lost} lost | {doubled} doubled |");
        return lost == 0 && doubled == 0 && !accepted.IsEmpty;
    }

    private static async Task Pay(
        ServiceProcess service, string studio, string token, Guid member, int client, ConcurrentDictionary<string, bool> accepted, CancellationToken end)
    {
        for (var n = 0; !end.IsCancellationRequested; n++)
        {
            var reason = $"payment {client}-{n}";
            while (true)
            {
                try
                {
                    await service.Ask(token, HttpMethod.Post, studio + "/payments", new { memberId = member, amountMinor = 100, kind = "payment", reason },
                        reason.Replace(' ', '-'));
                    accepted[reason] = true;
                    break;
                }
                catch (Exception e) when (e is HttpRequestException or JsonException or TaskCanceledException)
                {
                    if (end.IsCancellationRequested) return;
                    await Task.Delay(50, CancellationToken.None);
                }
            }
        }
    }
}
