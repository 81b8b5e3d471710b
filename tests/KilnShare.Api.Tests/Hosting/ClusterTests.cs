using System.Diagnostics;
using System.Globalization;
using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Hosting;

/// <summary>The private PostgreSQL dies, its package is upgraded under it, its disk takes nothing more: the service goes on, or says so.</summary>
public sealed class ClusterTests(TestDatabase database)
{
    [Fact]
    public async Task A_private_PostgreSQL_that_is_killed_is_started_again_and_has_everything_acknowledged()
    {
        await using var service = new ServiceProcess();
        await service.Until(HttpStatusCode.OK, () => service.As(null).Get("/health/ready"));
        var (studio, owner) = await MakeStudio(service);
        var before = OwnCluster.ProcessesOf(service.Folder)[0];
        Kill(before);
        var member = TestStudio.IdOf(
            await service.Until(HttpStatusCode.Created, () => owner.Post(studio + "/members", new { name = "Mira", role = "potter" })));
        Assert.NotEqual(before, OwnCluster.ProcessesOf(service.Folder)[0]);
        await service.Until(HttpStatusCode.OK, () => service.As(null).Get("/health/ready"));
        (await owner.Post(studio + "/payments", new { memberId = member, kind = "payment", amountMinor = 100, reason = "cash" }))
            .Expect(HttpStatusCode.Created);
        (await owner.Get(studio)).Expect(HttpStatusCode.OK);
        Assert.Null(service.ExitCode);
    }

    [Fact]
    public async Task A_private_PostgreSQL_that_dies_again_and_again_ends_the_program_with_a_failure()
    {
        await using var service = new ServiceProcess();
        await service.Until(HttpStatusCode.OK, () => service.As(null).Get("/health/ready"));
        // A server that dies before it was seen to answer is no death of its own, so there may be more than four.
        for (var waited = Stopwatch.StartNew(); service.ExitCode is null
            && waited.Elapsed < TimeSpan.FromMinutes(4); await Task.Delay(200, TestContext.Current.CancellationToken))
            if (await IsReady(service)) Kill(OwnCluster.ProcessesOf(service.Folder)[0]);
        await service.Ended();
        Assert.Equal(1, service.ExitCode);
        Assert.Contains("PostgreSQL died 4 times", service.Words, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_upgrade_of_the_package_under_the_running_server_stops_no_write()
    {
        var folder = OwnCluster.NewFolder();
        var copied = new CopiedPrograms(folder);
        await using (var own = await OwnCluster.Start(copied.Programs))
        {
            await using var service = new Service(database) { Over = own.Links };
            await service.InitializeAsync();
            copied.Upgrade();
            var studio = await service.MakeStudio();
            (await studio.Owner.Post(studio.Path + "/payments", new { memberId = studio.PotterId, kind = "payment", amountMinor = 100, reason = "cash" }))
                .Expect(HttpStatusCode.Created);
            await studio.MakeFiring(await studio.MakeKiln());
            (await service.As(null).Get("/health/ready")).Expect(HttpStatusCode.OK);
        }

        Directory.Delete(folder, recursive: true);
    }

    [Theory]
    [InlineData("create or replace function books_open(studio uuid, dated timestamptz) returns boolean language plpgsql volatile as $$ begin raise exception "
        + "'could not load library'; end $$", "refuses a write")]
    [InlineData("create or replace function books_open(studio uuid, dated timestamptz) returns boolean language plpgsql volatile as $$ begin raise exception "
        + "using errcode = '58P01'; end $$", "its programs were changed")]
    [InlineData("create or replace function books_open(studio uuid, dated timestamptz) returns boolean language plpgsql volatile as $$ begin raise exception "
        + "using errcode = '53100'; end $$", "disk of the database is full")]
    public async Task A_wall_that_fails_at_every_write_is_not_ready(string fault, string reason)
    {
        await using var service = new Service(database) { IsFaulted = true };
        await service.InitializeAsync();
        (await service.As(null).Get("/health/ready")).Expect(HttpStatusCode.OK);
        await Bookings.VersionHistory.Run(service.Links.Admin, fault);
        var away = await Until(service, HttpStatusCode.ServiceUnavailable);
        Assert.Equal("service.no-writes", away.Code);
        Assert.Contains(reason, away.Text, StringComparison.Ordinal);
        Assert.NotNull(away.Headers.RetryAfter);
    }

    /// <summary>
    /// No file may grow beyond one MiB for a while, as on a disk that has no room (new sessions have the server's limits); the log of writes, in
    /// files of that size, is left in peace.
    /// </summary>
    [Fact]
    public async Task A_disk_that_takes_nothing_more_is_not_ready_and_ready_again_once_there_is_room()
    {
        var folder = OwnCluster.NewFolder();
        await MakeWithSmallLog(folder);
        await using var own = await OwnCluster.Start(folder: folder);
        await using var service = new Service(database) { Over = own.Links };
        await service.InitializeAsync();
        (await service.As(null).Get("/health/ready")).Expect(HttpStatusCode.OK);
        await RunAsServer("prlimit", $"--pid={OwnCluster.ProcessesOf(folder)[0]}", "--fsize=1048576:");
        Assert.Equal("service.no-writes", (await Until(service, HttpStatusCode.ServiceUnavailable)).Code);
        await RunAsServer("prlimit", $"--pid={OwnCluster.ProcessesOf(folder)[0]}", "--fsize=unlimited:");
        await Until(service, HttpStatusCode.OK);
    }

    private static async Task<Reply> Until(Service service, HttpStatusCode wanted)
    {
        for (var waited = Stopwatch.StartNew(); ; await Task.Delay(200, TestContext.Current.CancellationToken))
            if (await service.As(null).Get("/health/ready") is var reply && (reply.Status == wanted || waited.Elapsed > TimeSpan.FromSeconds(60)))
                return reply.Expect(wanted);
    }

    private static async Task<(string Path, Caller Owner)> MakeStudio(ServiceProcess service)
    {
        var made = (await service.As(Service.InstallationToken).Post("/v1/studios",
            new { name = "Studio", timeZone = "UTC", currency = "EUR", perKwh = "0.3", ownerName = "Alma" })).Expect(HttpStatusCode.Created).Body;
        return ($"/v1/studios/{made.GetProperty("studio").GetProperty("id").GetGuid()}", service.As(made.GetProperty("token").GetString()));
    }

    private static void Kill(int process)
    {
        using var killed = Process.GetProcessById(process);
        killed.Kill();
        killed.WaitForExit();
    }

    private static async Task<bool> IsReady(ServiceProcess service)
    {
        try
        {
            return (await service.As(null).Get("/health/ready")).Status == HttpStatusCode.OK;
        }
        catch (HttpRequestException)
        {
            return false; // it is ending
        }
    }

    private static async Task MakeWithSmallLog(string folder)
    {
        var data = Directory.CreateDirectory(Path.Combine(folder, "pgdata")).FullName;
        var initdb = KilnShare.Api.Hosting.PostgresPrograms.For(null).Path("initdb");
        string[] arguments = ["-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-locale", "--no-instructions", "--wal-segsize=1"];
        if (Environment.IsPrivilegedProcess) await Run("chown", "postgres:", data);
        await RunAsServer(initdb, arguments);
    }

    /// <summary>As root, PostgreSQL runs as another user.</summary>
    private static Task RunAsServer(string program, params string[] arguments) => Environment.IsPrivilegedProcess
        ? Run("setpriv", ["--reuid=postgres", "--regid=postgres", "--init-groups", program, .. arguments]) : Run(program, arguments);

    private static async Task Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(
            program, arguments)
        { UseShellExecute = false, RedirectStandardOutput = true, RedirectStandardError = true, WorkingDirectory = "/" })!;
        var said = await process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.True(process.ExitCode == 0, string.Create(CultureInfo.InvariantCulture, $"{program}: {said}"));
    }
}
