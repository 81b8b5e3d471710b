using System.Data.Common;
using System.Security.Cryptography;
using System.Text;

namespace KilnShare.Api.Hosting;

/// <summary>What the service is told at its start, by environment variables or configuration.</summary>
/// <param name="DataFolder">Folder of the private cluster; null: none is wanted.</param>
/// <param name="Database">
/// Connection string of an existing PostgreSQL, with a login that may create roles, or without a login where it was set up already; null: a private cluster.
/// </param>
/// <param name="AppConnection">Connection string of the serving role in a database that is set up already; null: this start sets it up.</param>
/// <param name="WorkerConnection">The same for the worker role; null: no jobs are done here.</param>
/// <param name="InstallationTokenHash">SHA-256 of the token that makes studios; null: none can be made.</param>
public sealed record ServiceSettings(string? DataFolder, string? Database, string? AppConnection, string? WorkerConnection, byte[]? InstallationTokenHash)
{
    private const int ShortestInstallationToken = 24;
    private static readonly string[] LoginNames = ["Username", "User Name", "User", "UserId", "User Id", "UID"]; // all that the driver takes for one

    /// <summary>False where the service is given no login to make roles and tables with: it serves what was set up before it.</summary>
    public bool MaySetUp => Database is null || HasLogin(Database);

    /// <summary>Reads and checks the settings.</summary>
    /// <exception cref="InvalidOperationException">Something is missing or unsafe; the message says what to set.</exception>
    public static ServiceSettings Read(IConfiguration configuration)
    {
        var token = configuration["KILNSHARE_INSTALLATION_TOKEN"];
        if (token is not null && token.Length < ShortestInstallationToken)
            throw new InvalidOperationException($"KILNSHARE_INSTALLATION_TOKEN has fewer than {ShortestInstallationToken} characters. Make a long random one.");
        var settings = new ServiceSettings(
            configuration["KILNSHARE_DATA"], configuration["KILNSHARE_DATABASE"], configuration["KILNSHARE_DATABASE_APP"],
                configuration["KILNSHARE_DATABASE_WORKER"],
            token is null ? null : SHA256.HashData(Encoding.UTF8.GetBytes(token)));
        if (settings is { DataFolder: null, AppConnection: null })
            throw new InvalidOperationException(
                "Set KILNSHARE_DATA to a folder of the service's own. It keeps a private PostgreSQL cluster there, or the passwords for the server named by "
                    + "KILNSHARE_DATABASE.");
        foreach (var name in new[] { "KILNSHARE_DATABASE", "KILNSHARE_DATABASE_APP", "KILNSHARE_DATABASE_WORKER" }) CheckConnection(name, configuration[name]);
        _ = TrustedProxies.Read(configuration);
        if (configuration[Telemetry.CollectorSetting] is { Length: > 0 } collector
            && !(Uri.TryCreate(collector, UriKind.Absolute, out var address) && address.Scheme is "http" or "https"))
            throw new InvalidOperationException($"{Telemetry.CollectorSetting} is no address. Set it to one such as http://collector:4317, or leave it out.");
        return settings;
    }

    private static bool HasLogin(string connection)
    {
        var parts = new DbConnectionStringBuilder { ConnectionString = connection };
        return LoginNames.Any(parts.ContainsKey);
    }

    // The text itself is never shown: it may hold a password.
    private static void CheckConnection(string name, string? text)
    {
        if (text is null) return;
        var (hosts, aims) = (0, false);
        try
        {
            var parts = new DbConnectionStringBuilder { ConnectionString = text };
            hosts = parts.TryGetValue("Host", out var host) ? host.ToString()!.Split(',').Length : 0;
            aims = parts.ContainsKey("Target Session Attributes") || parts.ContainsKey("TargetSessionAttributes");
        }
        catch (ArgumentException)
        {
            // said below
        }

        if (hosts == 0)
            throw new InvalidOperationException(
                $"{name} is no connection string with a host. Set it to one such as Host=database;Database=kilnshare;Username=setup;Password=….");
        if (hosts > 1 && !aims)
            throw new InvalidOperationException($"{name} names several hosts but not which of them to write to. Add Target Session Attributes=primary.");
        if (hosts == 1 && aims)
            throw new InvalidOperationException(
                $"{name} names one host, with Target Session Attributes, which takes several. Leave it out, or name every host.");
    }
}
