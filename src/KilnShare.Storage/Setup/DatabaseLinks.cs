using System.Security.Cryptography;
using System.Text;
using Npgsql;

namespace KilnShare.Storage.Setup;

/// <summary>How the service's roles reach a database, out of one connection string that may set it up.</summary>
/// <param name="Admin">A login that may create roles.</param>
/// <param name="Secret">Passwords of the roles are made from it; null: the cluster asks for none.</param>
public sealed record DatabaseLinks(string Admin, byte[]? Secret)
{
    /// <summary>The role that owns the tables.</summary>
    public const string OwnerRole = "kilnshare_owner";

    /// <summary>The role that serves requests.</summary>
    public const string AppRole = "kilnshare_app";

    /// <summary>The role that claims jobs.</summary>
    public const string WorkerRole = "kilnshare_worker";

    /// <summary>The role that checks invariants, read only.</summary>
    public const string AuditRole = "kilnshare_audit";

    private const string Timeouts = "-c lock_timeout=2s -c statement_timeout=10s -c idle_in_transaction_session_timeout=10s";

    /// <summary>The set-up login, acting as the owner of the tables.</summary>
    public string Owner => new NpgsqlConnectionStringBuilder(Admin) { Options = $"-c role={OwnerRole}", Pooling = false }.ConnectionString;

    /// <summary>The serving role.</summary>
    public string App => As(AppRole, 12);

    /// <summary>The worker role.</summary>
    public string Worker => As(WorkerRole, 2);

    /// <summary>The checking role.</summary>
    public string Audit => As(AuditRole, 2);

    /// <summary>The password of a role; null where the cluster asks for none.</summary>
    public string? PasswordOf(string role) =>
        Secret is null ? null : Convert.ToHexStringLower(HMACSHA256.HashData(Secret, Encoding.UTF8.GetBytes(role)));

    private string As(string role, int connections) => new NpgsqlConnectionStringBuilder(Admin)
    {
        Username = role,
        Password = PasswordOf(role),
        Options = Timeouts,
        MaxPoolSize = connections,
        MaxAutoPrepare = 40,
        NoResetOnClose = true, // the studio is set at every opening, so nothing is inherited
        Timeout = 5,
        CommandTimeout = 12,
        KeepAlive = 30,
    }.ConnectionString;
}
