using System.Globalization;
using KilnShare.Api.Common;
using KilnShare.Api.Hosting;
using KilnShare.Storage.Setup;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;

namespace KilnShare.Api.Tests.Common;

/// <summary>The service in this process over a database of its own; one for a test class.</summary>
public sealed class Service(TestDatabase database) : WebApplicationFactory<Program>, IAsyncLifetime
{
    private readonly Lock starting = new();
    private bool listens;

    /// <summary>The installation's token in tests.</summary>
    public const string InstallationToken = "installation-token-for-tests";

    /// <summary>How the database of this service is reached.</summary>
    public DatabaseLinks Links { get; private set; } = null!;

    /// <summary>The database it is to serve; null: one of its own, with tables and no rows.</summary>
    public DatabaseLinks? Over { get; init; }

    /// <summary>False where jobs are left to other services over the same database.</summary>
    public bool DoesJobs { get; init; } = true;

    /// <summary>What a test sets up besides.</summary>
    public Action<IWebHostBuilder>? Also { get; init; }

    /// <summary>What every request of every client passes through on its way; null: nothing.</summary>
    public Func<DelegatingHandler>? Through { get; set; }

    /// <summary>True once a test has planted a fault in the database on purpose, which the last look at it would find.</summary>
    public bool IsFaulted { get; set; }

    public async ValueTask InitializeAsync() => Links = Over ?? await database.Clone();

    /// <summary>Stops the service; whatever the class did, the invariants hold.</summary>
    public override async ValueTask DisposeAsync()
    {
        await base.DisposeAsync();
        if (!IsFaulted && Links is not null) Assert.Empty(await Invariants.Offences(Links));
        GC.SuppressFinalize(this);
    }

    /// <summary>A caller with a token, or without one.</summary>
    public Caller As(string? token) => new(Client(), token);

    /// <summary>A client whose answers are all held against the document.</summary>
    public HttpClient Client() =>
        Unhurried(Through is { } through ? CreateDefaultClient(through(), new AnswerCheck(this)) : CreateDefaultClient(new AnswerCheck(this)));

    /// <summary>The client with time for a busy machine.</summary>
    public static HttpClient Unhurried(HttpClient client)
    {
        client.Timeout = TimeSpan.FromMinutes(10);
        return client;
    }

    /// <summary>A client of this service over a real socket.</summary>
    public HttpClient OverSocket()
    {
        lock (starting)
        {
            if (!listens)
            {
                UseKestrel(0);
                StartServer();
                listens = true;
            }
        }

        return CreateClient();
    }

    /// <summary>A new studio with a member of each role.</summary>
    public async Task<TestStudio> MakeStudio(string currency = "EUR") => await TestStudio.Make(this, currency);

    /// <summary>A second service over the same database, as another process would be.</summary>
    public WebApplicationFactory<Program> Again() => WithWebHostBuilder(host => host.UseSetting("KILNSHARE_DATABASE_WORKER", Links.Worker));

    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        builder.UseSetting("KILNSHARE_DATABASE_APP", Links.App + ";Minimum Pool Size=0");
        if (DoesJobs) builder.UseSetting("KILNSHARE_DATABASE_WORKER", Links.Worker);
        builder.UseSetting("KILNSHARE_INSTALLATION_TOKEN", InstallationToken);
        builder.UseSetting("KILNSHARE_RATE_PER_TOKEN", "0");
        builder.UseSetting("KILNSHARE_RATE_ANONYMOUS", "0");
        // A crowded machine may need long for what an idle one does in a second. Tests of these limits set their own.
        builder.UseSetting("KILNSHARE_REQUEST_SECONDS", "90");
        builder.ConfigureServices(services =>
        {
            services.AddSingleton(new SearchPlaces { Longest = TimeSpan.FromSeconds(80) });
            services.AddTransient<IStartupFilter, OperationHeader>();
            // Many services share this process: what one of them gives back is not to show in what another one takes.
            services.Remove(services.Single(s => s.ImplementationType == typeof(Rest)));
        });
        builder.ConfigureLogging(logging => logging.SetMinimumLevel(LogLevel.Warning).AddProvider(new ErrorLog()));
        Also?.Invoke(builder);
        CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
    }
}
