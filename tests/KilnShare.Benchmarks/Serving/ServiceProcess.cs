using System.Diagnostics;
using System.Net.Http.Json;
using System.Text.Json;

namespace KilnShare.Benchmarks.Serving;

/// <summary>The published service as a process of its own, over a private cluster in a folder that is thrown away.</summary>
internal sealed class ServiceProcess : IAsyncDisposable
{
    public const string InstallationToken = "installation-token-for-benchmarks";
    private readonly string program;
    private readonly string url;
    private Process? process;

    public ServiceProcess(int port)
    {
        program = Path.Combine(AppContext.BaseDirectory, "KilnShare.Api.dll");
        url = $"http://127.0.0.1:{port}";
        Folder = Directory.CreateTempSubdirectory("kilnshare-bench-").FullName;
        File.SetUnixFileMode(
            Folder, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute | UnixFileMode.GroupExecute | UnixFileMode.OtherExecute);
        Client = new HttpClient(new SocketsHttpHandler { MaxConnectionsPerServer = 64 }) { BaseAddress = new Uri(url) };
    }

    public string Folder { get; }

    public HttpClient Client { get; }

    /// <summary>Starts it and waits until it is ready.</summary>
    public async Task Start()
    {
        var start = new ProcessStartInfo(
            "dotnet", [program, "--urls", url])
        { UseShellExecute = false, RedirectStandardOutput = true, RedirectStandardError = true };
        foreach (var (name, value) in new[] { ("KILNSHARE_DATA", Folder), ("KILNSHARE_INSTALLATION_TOKEN", InstallationToken),
            ("KILNSHARE_RATE_PER_TOKEN", "0"), ("KILNSHARE_RATE_ANONYMOUS", "0"), ("Logging__LogLevel__Default", "Warning") })
            start.Environment[name] = value;
        process = Process.Start(start)!;
        process.OutputDataReceived += (_, _) => { };
        process.ErrorDataReceived += (_, _) => { };
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        for (var waited = Stopwatch.StartNew(); ; await Task.Delay(50))
        {
            try
            {
                using var ready = await Client.GetAsync("/health/ready");
                if (ready.IsSuccessStatusCode) return;
            }
            catch (HttpRequestException) when (waited.Elapsed < TimeSpan.FromSeconds(60))
            {
                // not listening yet
            }

            if (process.HasExited || waited.Elapsed > TimeSpan.FromSeconds(90)) throw new InvalidOperationException("The service did not start.");
        }
    }

    /// <summary>Asks it to stop, as a system would, and waits until it has.</summary>
    public async Task Stop()
    {
        if (process is null) return;
        using var kill = Process.Start("kill", ["-TERM", process.Id.ToString()]);
        await kill.WaitForExitAsync();
        await process.WaitForExitAsync();
        process.Dispose();
        process = null;
    }

    /// <summary>Memory of the process, MiB.</summary>
    public long MemoryMiB()
    {
        process!.Refresh();
        return process.WorkingSet64 / (1024 * 1024);
    }

    /// <summary>A studio with its owner's token.</summary>
    public async Task<(string Path, string Token)> MakeStudio()
    {
        var made = await Ask(
            InstallationToken, HttpMethod.Post, "/v1/studios", new { name = "Bench", timeZone = "UTC", currency = "EUR", perKwh = "0.3", ownerName = "Alma" });
        return ("/v1/studios/" + made.GetProperty("studio").GetProperty("id").GetString(), made.GetProperty("token").GetString()!);
    }

    /// <summary>Sends a request and reads the answer, which must be good.</summary>
    public async Task<JsonElement> Ask(string token, HttpMethod method, string path, object? body = null, string? key = null)
    {
        using var request = new HttpRequestMessage(method, path);
        request.Headers.Authorization = new("Bearer", token);
        if (method == HttpMethod.Post) request.Headers.Add("Idempotency-Key", key ?? Guid.NewGuid().ToString());
        if (body is not null) request.Content = JsonContent.Create(body);
        using var response = await Client.SendAsync(request);
        var answer = await response.Content.ReadFromJsonAsync<JsonElement>();
        return response.IsSuccessStatusCode ? answer : throw new HttpRequestException($"{method} {path}: {answer}");
    }

    public async ValueTask DisposeAsync()
    {
        await Stop();
        Client.Dispose();
        Directory.Delete(Folder, recursive: true);
    }
}
