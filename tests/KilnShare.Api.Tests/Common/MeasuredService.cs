using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using KilnShare.Storage.Setup;

namespace KilnShare.Api.Tests.Common;

/// <summary>The service as a process of its own, so that what it takes is its own and nobody else's.</summary>
internal sealed class MeasuredService : IAsyncDisposable
{
    private const double TicksPerSecond = 100; // of /proc/…/stat on Linux
    private readonly Process process;

    private MeasuredService(Process process, HttpClient client) => (this.process, Client) = (process, client);

    public HttpClient Client { get; }

    /// <summary>Starts it over a database that is set up, and waits until it serves.</summary>
    public static async Task<MeasuredService> Start(DatabaseLinks links)
    {
        var url = $"http://127.0.0.1:{FreePort()}";
        var start = new ProcessStartInfo("dotnet", [Path.Combine(AppContext.BaseDirectory, "KilnShare.Api.dll"), "--urls", url])
        {
            UseShellExecute = false,
            RedirectStandardOutput = true,
            RedirectStandardError = true
        };
        foreach (var (name, value) in new[] { ("KILNSHARE_DATABASE_APP", links.App), ("KILNSHARE_RATE_PER_TOKEN", "0"), ("KILNSHARE_RATE_ANONYMOUS", "0"),
            ("Logging__LogLevel__Default", "Warning") })
            start.Environment[name] = value;
        var started = Process.Start(start)!;
        started.OutputDataReceived += (_, _) => { };
        started.ErrorDataReceived += (_, _) => { };
        started.BeginOutputReadLine();
        started.BeginErrorReadLine();
        var service = new MeasuredService(started, new HttpClient { BaseAddress = new Uri(url), Timeout = TimeSpan.FromMinutes(5) });
        while (!await service.Serves())
        {
            Assert.False(started.HasExited, "The service did not start.");
            await Task.Delay(100, TestContext.Current.CancellationToken);
        }

        return service;
    }

    /// <summary>Processor time of all its threads so far, seconds.</summary>
    public double ProcessorSeconds()
    {
        var fields = File.ReadAllText($"/proc/{process.Id}/stat").Split(") ")[1].Split(' ');
        return (long.Parse(fields[11], CultureInfo.InvariantCulture) + long.Parse(fields[12], CultureInfo.InvariantCulture)) / TicksPerSecond;
    }

    /// <summary>Memory now, MiB.</summary>
    public double MemoryMiB() => Status("VmRSS");

    /// <summary>The most memory since the peak was last forgotten, MiB.</summary>
    public double PeakMiB() => Status("VmHWM");

    /// <summary>Forgets the peak of memory.</summary>
    public void ForgetPeak() => File.WriteAllText($"/proc/{process.Id}/clear_refs", "5");

    public async ValueTask DisposeAsync()
    {
        Client.Dispose();
        process.Kill();
        await process.WaitForExitAsync(CancellationToken.None);
        process.Dispose();
    }

    private async Task<bool> Serves()
    {
        try
        {
            using var ready = await Client.GetAsync("/health/live", TestContext.Current.CancellationToken);
            return ready.StatusCode == HttpStatusCode.OK;
        }
        catch (HttpRequestException)
        {
            return false;
        }
    }

    private double Status(string name) => double.Parse(
        File.ReadLines($"/proc/{process.Id}/status").Single(l => l.StartsWith(name + ":", StringComparison.Ordinal))[(name.Length + 1)..].Replace(
            "kB", "", StringComparison.Ordinal), CultureInfo.InvariantCulture) / 1024;

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
