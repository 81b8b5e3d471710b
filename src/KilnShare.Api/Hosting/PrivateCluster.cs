using System.Diagnostics;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Npgsql;

namespace KilnShare.Api.Hosting;

/// <summary>
/// A PostgreSQL cluster of the service's own: made once, then run under a shell that stops it when our end of its standard input closes
/// (clean stop, crash and kill -9 alike). Reached over a Unix socket in a folder of mode 0700; no TCP port.
/// </summary>
/// <param name="folder">The data folder.</param>
/// <param name="log">Where it says what it does.</param>
/// <param name="programs">The server's programs; null: those that this machine has for its data.</param>
public sealed class PrivateCluster(string folder, ILogger log, PostgresPrograms? programs = null) : IAsyncDisposable
{
    /// <summary>The account the server runs as when this process is root, which PostgreSQL refuses to be.</summary>
    public const string ServerAccount = "postgres";

    private const int Port = 5432; // names the socket file only
    private const int LongestSocketFolder = 90; // bytes: sun_path holds 107 with the file's name

    // What a function needs is in memory from the start, and no compiler is fetched for dear questions: a package that is upgraded under the running server
    // puts files of another version where the old server would look for its own.
    private static readonly string[] Settings =
    [
        "listen_addresses=", "unix_socket_permissions=0700", "logging_collector=off", "log_line_prefix=%m [%p] ",
        "shared_preload_libraries=plpgsql,btree_gist", "jit=off",
    ];

    private const string Guard =
        """
        trap '' INT TERM HUP
        exec 3<&0 </dev/null
        "$@" 3<&- & server=$!
        (cat; kill -INT $server) <&3 >/dev/null 2>&1 & leash=$!
        exec 3<&-
        wait $server; code=$?
        kill -9 $leash 2>/dev/null
        exit $code
        """;

    private readonly string root = Path.GetFullPath(folder);
    private FileStream? folderLock;
    private Process? guard;
    private TaskCompletionSource<int> ended = new();

    private string Data => Path.Combine(root, "pgdata");

    private string VersionFile => Path.Combine(Data, "PG_VERSION");

    private string Socket => Encoding.UTF8.GetByteCount(Path.Combine(root, "run")) <= LongestSocketFolder
        ? Path.Combine(root, "run")
        : Path.Combine(Path.GetTempPath(), "kilnshare-" + Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(root)))[..16]);

    /// <summary>How to connect as its superuser.</summary>
    public string AdminConnection => new NpgsqlConnectionStringBuilder
    {
        Host = Socket,
        Port = Port,
        Username = "postgres",
        Database = "postgres",
        GssEncryptionMode = GssEncryptionMode.Disable,
    }.ConnectionString;

    /// <summary>Makes the cluster if there is none, and starts it.</summary>
    /// <exception cref="InvalidOperationException">It cannot be started; the message says why and what to do.</exception>
    public async Task Start(CancellationToken cancellation)
    {
        LockFolder();
        await MakeFolder(Data, cancellation);
        if (!File.Exists(VersionFile))
        {
            var initdb = (programs ?? PostgresPrograms.For(null)).Path("initdb");
            await Run(initdb, ["-D", Data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-locale", "--no-instructions"], cancellation);
            log.LogInformation("Made a private PostgreSQL cluster in {Folder}", Data);
        }

        await StartServer(cancellation);
    }

    /// <summary>Starts the server again after it ended.</summary>
    /// <exception cref="InvalidOperationException">It cannot be started; the message says why.</exception>
    public async Task StartAgain(CancellationToken cancellation)
    {
        guard?.StandardInput.Close(); // lets go of its leash: a server that outlived its guard goes down
        guard?.Dispose();
        guard = null;
        await StartServer(cancellation);
    }

    /// <summary>Waits until the server ends by itself, and gives its exit code.</summary>
    /// <remarks>Not by the end of its output, which what is left of a killed server may keep open.</remarks>
    public Task<int> Ended(CancellationToken cancellation) => ended.Task.WaitAsync(cancellation);

    private async Task StartServer(CancellationToken cancellation)
    {
        await MakeFolder(Socket, cancellation);
        var written = await File.ReadAllTextAsync(VersionFile, cancellation);
        var fitting = programs ?? PostgresPrograms.For(written);
        await fitting.CheckVersion(written, cancellation);
        await WaitForEarlierServer(cancellation);
        guard = StartGuard(fitting);
        await WaitUntilAnswering(guard, cancellation);
    }

    /// <summary>Stops the server and waits for it.</summary>
    public async ValueTask DisposeAsync()
    {
        if (guard is { HasExited: false })
        {
            guard.StandardInput.Close();
            using var limit = new CancellationTokenSource(TimeSpan.FromSeconds(30));
            try
            {
                await guard.WaitForExitAsync(limit.Token);
            }
            catch (OperationCanceledException)
            {
                guard.Kill(entireProcessTree: true);
            }
        }

        guard?.Dispose();
        guard = null;
        if (folderLock is not null) await folderLock.DisposeAsync();
        folderLock = null;
    }

    private void LockFolder()
    {
        Directory.CreateDirectory(root);
        try
        {
            folderLock = new FileStream(Path.Combine(root, "service.lock"), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        }
        catch (IOException e)
        {
            throw new InvalidOperationException(
                $"Another KilnShare service already uses the data folder {root}. Stop it, or choose another folder with --data.", e);
        }
    }

    private Process StartGuard(PostgresPrograms fitting)
    {
        var start = As("setsid", [
            "/bin/sh", "-c", Guard, "sh", fitting.Path("postgres"), "-D", Data, "-p", Port.ToString(CultureInfo.InvariantCulture), "-k", Socket,
            .. Settings.SelectMany(setting => new[] { "-c", setting })]);
        start.RedirectStandardInput = start.RedirectStandardError = start.RedirectStandardOutput = true;
        var (process, code) = (new Process { StartInfo = start, EnableRaisingEvents = true }, new TaskCompletionSource<int>());
        process.Exited += (_, _) => code.TrySetResult(process.ExitCode);
        ended = code;
        process.Start();
        process.ErrorDataReceived += (_, line) => log.LogDebug("postgres: {Line}", line.Data);
        process.BeginErrorReadLine();
        process.BeginOutputReadLine();
        return process;
    }

    private async Task WaitUntilAnswering(Process server, CancellationToken cancellation)
    {
        for (var waited = Stopwatch.StartNew(); ;)
        {
            if (server.HasExited)
                throw new InvalidOperationException(
                    $"PostgreSQL ended with code {server.ExitCode} while starting in {Data}. Run with Logging__LogLevel__Default=Debug to see its words.");
            try
            {
                await using var connection = new NpgsqlConnection(AdminConnection + ";Pooling=false;Timeout=2");
                await connection.OpenAsync(cancellation);
                return;
            }
            catch (Exception e) when (e is NpgsqlException or IOException && waited.Elapsed < TimeSpan.FromSeconds(60))
            {
                await Task.Delay(50, cancellation);
            }
        }
    }

    /// <summary>A server left by a killed service is still going down: wait for it, and drop a lock file that names some other process.</summary>
    private async Task WaitForEarlierServer(CancellationToken cancellation)
    {
        var pidFile = Path.Combine(Data, "postmaster.pid");
        for (var tries = 0; File.Exists(pidFile); tries++)
        {
            var first = (await File.ReadAllLinesAsync(pidFile, cancellation)).FirstOrDefault();
            // A dead server's file is left to PostgreSQL, which sees by it whether a part of that server still lives.
            if (int.TryParse(first, out var pid) && !Directory.Exists($"/proc/{pid}")) return;
            if (pid == 0 || FolderOf(pid) != Data)
            {
                File.Delete(pidFile);
                return;
            }

            if (tries == 600) throw new InvalidOperationException($"An earlier PostgreSQL (process {pid}) still runs on {Data}. Stop it first.");
            await Task.Delay(100, cancellation);
        }
    }

    private static string? FolderOf(int pid)
    {
        try
        {
            return Directory.ResolveLinkTarget($"/proc/{pid}/cwd", returnFinalTarget: false)?.FullName;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    private static async Task MakeFolder(string path, CancellationToken cancellation)
    {
        Directory.CreateDirectory(path, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
        if (Environment.IsPrivilegedProcess) await Finish(new ProcessStartInfo("chown", ["-R", ServerAccount + ":", path]), cancellation);
    }

    private static Task Run(string program, IReadOnlyList<string> arguments, CancellationToken cancellation) => Finish(As(program, arguments), cancellation);

    private static async Task Finish(ProcessStartInfo start, CancellationToken cancellation)
    {
        start.RedirectStandardOutput = start.RedirectStandardError = true;
        using var process = Process.Start(start)!;
        var output = process.StandardOutput.ReadToEndAsync(cancellation);
        var error = await process.StandardError.ReadToEndAsync(cancellation);
        await process.WaitForExitAsync(cancellation);
        if (process.ExitCode == 0) return;
        throw new InvalidOperationException(
            $"{start.FileName} failed: {error.Trim()} {(await output).Trim()} The account {ServerAccount} must be able to reach the data folder: choose "
                + $"another with --data.");
    }

    private static ProcessStartInfo As(string program, IReadOnlyList<string> arguments)
    {
        var start = new ProcessStartInfo(program, arguments) { UseShellExecute = false, WorkingDirectory = "/" };
        if (Environment.IsPrivilegedProcess) start.UserName = ServerAccount;
        foreach (var name in start.Environment.Keys.Where(k => k.StartsWith("PG", StringComparison.Ordinal)).ToList()) start.Environment.Remove(name);
        start.Environment["LC_ALL"] = "C";
        return start;
    }
}
