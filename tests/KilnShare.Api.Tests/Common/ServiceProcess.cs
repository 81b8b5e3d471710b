using System.Collections.Concurrent;
using System.Diagnostics;
using System.Net;
using System.Net.Sockets;

namespace KilnShare.Api.Tests.Common;

/// <summary>The service as a process of its own, over a private PostgreSQL in a folder that is thrown away.</summary>
internal sealed class ServiceProcess : IAsyncDisposable
{
    private readonly ConcurrentQueue<string> words = new();
    private readonly Process process;
    private readonly HttpClient client;

    public ServiceProcess()
    {
        var url = $"http://127.0.0.1:{FreePort()}";
        var start = new ProcessStartInfo("dotnet", [Path.Combine(AppContext.BaseDirectory, "KilnShare.Api.dll"), "--urls", url])
        {
            UseShellExecute = false,
            RedirectStandardOutput = true,
            RedirectStandardError = true
        };
        foreach (var (name, value) in new[] { ("KILNSHARE_DATA", Folder), ("KILNSHARE_INSTALLATION_TOKEN", Service.InstallationToken),
            ("KILNSHARE_RATE_PER_TOKEN", "0"), ("KILNSHARE_RATE_ANONYMOUS", "0") })
            start.Environment[name] = value;
        process = Process.Start(start)!;
        process.OutputDataReceived += (_, line) => words.Enqueue(line.Data ?? "");
        process.ErrorDataReceived += (_, line) => words.Enqueue(line.Data ?? "");
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        client = new HttpClient { BaseAddress = new Uri(url), Timeout = TimeSpan.FromSeconds(40) };
    }

    /// <summary>Its data folder.</summary>
    public string Folder { get; } = OwnCluster.NewFolder();

    /// <summary>What it said last.</summary>
    public string Words => string.Join("\n", words.TakeLast(20));

    /// <summary>Its exit code; null while it runs.</summary>
    public int? ExitCode => process.HasExited ? process.ExitCode : null;

    /// <summary>A caller with a token, or without one.</summary>
    public Caller As(string? token) => new(client, token);

    /// <summary>An answer as soon as it is of that status; fails after a minute, or when the service ends.</summary>
    public async Task<Reply> Until(HttpStatusCode wanted, Func<Task<Reply>> ask)
    {
        for (var waited = Stopwatch.StartNew(); ; await Task.Delay(100, TestContext.Current.CancellationToken))
        {
            try
            {
                if (await ask() is var reply && (reply.Status == wanted || waited.Elapsed > TimeSpan.FromSeconds(60))) return reply.Expect(wanted);
            }
            catch (HttpRequestException) when (waited.Elapsed < TimeSpan.FromSeconds(60) && !process.HasExited)
            {
                // it does not listen yet
            }
        }
    }

    /// <summary>Waits until it ends by itself.</summary>
    public Task Ended() =>
        process.WaitForExitAsync(TestContext.Current.CancellationToken).WaitAsync(TimeSpan.FromSeconds(60), TestContext.Current.CancellationToken);

    public async ValueTask DisposeAsync()
    {
        if (!process.HasExited)
        {
            using var term = Process.Start("kill", ["-TERM", process.Id.ToString(System.Globalization.CultureInfo.InvariantCulture)]);
            await process.WaitForExitAsync(CancellationToken.None);
        }

        process.Dispose();
        client.Dispose();
        Directory.Delete(Folder, recursive: true);
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
