using FluentValidation;
using KilnShare.Api.Access;
using KilnShare.Api.Bookings;
using KilnShare.Api.Common;
using KilnShare.Api.Energy;
using KilnShare.Storage;
using KilnShare.Storage.Common;
using KilnShare.Storage.Studios;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Hosting;

/// <summary>Puts the service together: what it is made of, and in which order a request passes through.</summary>
public static class ServiceBuilding
{
    /// <summary>Largest body that is read.</summary>
    internal const int LargestBodyBytes = 4 * 1024 * 1024;
    private const int LargestHeadersBytes = 16 * 1024;

    /// <summary>Registers everything.</summary>
    public static void AddKilnShare(this WebApplicationBuilder builder)
    {
        Validation.NameFieldsAsJson();
        builder.AddKilnShareTelemetry();
        builder.WebHost.UseKestrelHttpsConfiguration().ConfigureKestrel(k => // the slim builder leaves https out
        {
            k.AddServerHeader = false;
            k.Limits.MaxRequestBodySize = LargestBodyBytes;
            k.Limits.MaxRequestHeadersTotalSize = LargestHeadersBytes;
        });
        var services = builder.Services;
        services.AddSingleton(_ => ServiceSettings.Read(builder.Configuration));
        services.AddSingleton(s => new InstallationToken(s.GetRequiredService<ServiceSettings>().InstallationTokenHash));
        services.AddSingleton<Databases>().AddSingleton<Readiness>();
        services.AddHostedService<DatabaseHost>();
        services.AddSingleton(SystemTime.Clock);
        services.AddSingleton(TimeProvider.System);
        services.AddPooledDbContextFactory<KilnShareDb>((s, options) =>
        {
            KilnShareDb.Configure(options, s.GetRequiredService<Databases>().App);
            options.AddInterceptors(new StudioConnectionInterceptor(), new RowAheadInterceptor());
        });
        services.AddScoped(Lease).AddScoped<TokenLookup>();
        services.AddSingleton<SearchPlaces>().AddScoped<SearchGate>().AddSingleton<LearntKilns>().AddSingleton<FiringQueue>().AddSingleton<JobSignal>();
        services.AddScoped<Idempotency>().AddScoped<PlanWriter>().AddScoped<FiringJobs>().AddScoped<Editing>();
        services.AddHostedService<JobRunner>().AddHostedService<Rest>();
        services.ConfigureHttpJsonOptions(o => Json.Configure(o.SerializerOptions));
        services.Configure<RouteHandlerOptions>(o => o.ThrowOnBadRequest = true);
        services.AddExceptionHandler<EdgeExceptions>();
        services.AddProblemDetails();
        services.AddLimits(builder.Configuration);
        services.AddOrigins();
        services.Configure<RouteOptions>(o => o.SetParameterPolicy<AnyId>("guid"));
        services.AddValidatorsFromAssemblyContaining<Program>(includeInternalTypes: true);
        services.AddKilnShareDocument();
        services.Configure<HostOptions>(o => o.ShutdownTimeout = TimeSpan.FromSeconds(15));
    }

    /// <summary>A context out of the pool, which knows no studio yet; it goes back at the end of the request.</summary>
    private static KilnShareDb Lease(IServiceProvider services)
    {
        var db = services.GetRequiredService<IDbContextFactory<KilnShareDb>>().CreateDbContext();
        db.Studio = null;
        return db;
    }

    /// <summary>Lines up what a request passes through, and the routes at the end of it.</summary>
    public static void UseKilnShare(this WebApplication app)
    {
        app.UseTrustedProxies();
        app.Use(Headers.Set);
        app.UseMiddleware<RequestLog>();
        app.Use(WholeAnswers.Send);
        app.UseExceptionHandler();
        app.UseStatusCodePages(async context =>
        {
            await EdgeExceptions.OfStatus(context.HttpContext.Response.StatusCode).ExecuteAsync(context.HttpContext);
        });
        app.UseRouting();
        app.UseOrigins();
        app.UseRequestTimeouts();
        app.UseMiddleware<CallerLookup>();
        app.UseRateLimiter();
        app.UseWhen(context => context.GetEndpoint() is null, pages => pages.UseKilnShareDocument());
        app.UseMiddleware<AccessCheck>();
        app.Use(SearchGate.RefuseEarly);
        app.Use(AcceptCheck.Pass);
        app.UseMiddleware<QueryCheck>();
        app.UseMiddleware<BodyCheck>();
        app.MapKilnShare();
    }
}
