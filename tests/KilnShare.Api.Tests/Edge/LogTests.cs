using System.Collections.Concurrent;
using System.Net.Http.Headers;
using System.Text.Json;
using KilnShare.Api.Tests.Common;
using Microsoft.AspNetCore.Hosting;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;

namespace KilnShare.Api.Tests.Edge;

/// <summary>The log of a service in production: one parseable line an event, whatever a client sends, and no secret in it.</summary>
public sealed class LogTests(Service service) : IClassFixture<Service>
{
    private const string Evil = "x\r\n{\"LogLevel\":\"Critical\",\"Message\":\"forged\"}\u001b[31m\u2028\u202e";

    [Fact]
    public async Task A_request_is_one_line_of_JSON_and_nothing_a_client_writes_breaks_or_fills_it()
    {
        var studio = await service.MakeStudio();
        var lines = new ConcurrentQueue<string>();
        using var loud = service.WithWebHostBuilder(
            b => b.UseEnvironment("Production").ConfigureLogging(l => l.SetMinimumLevel(LogLevel.Information).AddFilter("Microsoft", LogLevel.Warning))
            .ConfigureServices(s => s.AddSingleton<ILoggerProvider>(p => new ConsoleLines(p, lines))));
        using var client = loud.CreateClient();
        await Send(client, "/v1/me?" + Uri.EscapeDataString(Evil), studio.Owner.Token, null);
        await Send(client, "/v1/" + Uri.EscapeDataString(Evil), studio.Owner.Token, null);
        await Send(client, $"/v1/studios/{Uri.EscapeDataString(Evil)}/kilns", studio.Owner.Token, null);
        await Send(client, studio.Path + "/members", studio.Owner.Token, JsonSerializer.Serialize(new { name = Evil, role = "potter" }));
        await Send(client, studio.Path + "/members", studio.Owner.Token, JsonSerializer.Serialize(new { name = new string('s', 1_000_000), role = "potter" }));
        await Send(client, "/v1/me", "ks_" + new string('z', 3000), null);

        var requests = lines.Where(l => l.Contains("RequestLog", StringComparison.Ordinal)).ToList();
        Assert.Equal(6, requests.Count);
        foreach (var line in lines)
        {
            Assert.EndsWith("\n", line, StringComparison.Ordinal);
            Assert.DoesNotContain('\n', line[..^1]);
            Assert.DoesNotContain('\r', line[..^1]);
            Assert.DoesNotContain('\u001b', line);
            Assert.DoesNotContain('\u2028', line);
            using var parsed = JsonDocument.Parse(line);
            Assert.NotEqual("Critical", parsed.RootElement.GetProperty("LogLevel").GetString(), StringComparer.Ordinal);
            Assert.DoesNotContain("forged", line, StringComparison.Ordinal);
            Assert.DoesNotContain(studio.Owner.Token![3..], line, StringComparison.Ordinal);
            Assert.DoesNotContain("ks_", line, StringComparison.Ordinal);
            Assert.True(line.Length < 4000, "A line is too long.");
        }
    }

    private static async Task Send(HttpClient client, string path, string? token, string? body)
    {
        using var request = new HttpRequestMessage(body is null ? HttpMethod.Get : HttpMethod.Post, path);
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", token);
        request.Headers.TryAddWithoutValidation("User-Agent", "\u001b[31m agent");
        if (body is not null) request.Content = new StringContent(body, System.Text.Encoding.UTF8, "application/json");
        using var response = await client.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.True((int)response.StatusCode < 500);
    }
}
