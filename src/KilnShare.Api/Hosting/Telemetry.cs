using System.Diagnostics;
using Npgsql;
using OpenTelemetry.Metrics;
using OpenTelemetry.Resources;
using OpenTelemetry.Trace;

namespace KilnShare.Api.Hosting;

/// <summary>What the service tells of itself: one log line an event, and traces and figures to a collector where one is named.</summary>
public static partial class Telemetry
{
    /// <summary>The standard name of the collector's address; nothing is sent anywhere without it.</summary>
    public const string CollectorSetting = "OTEL_EXPORTER_OTLP_ENDPOINT";

    /// <summary>Registers it.</summary>
    public static void AddKilnShareTelemetry(this WebApplicationBuilder builder)
    {
        if (!IsTerminal) builder.Logging.AddKilnShareJson();
        if (builder.Configuration[CollectorSetting] is not { Length: > 0 }) return;
        var version = typeof(Telemetry).Assembly.GetName().Version?.ToString(3);
        builder.Services.AddOpenTelemetry()
            .ConfigureResource(r => r.AddService("kilnshare", serviceVersion: version))
            .WithTracing(t => t.AddAspNetCoreInstrumentation().AddNpgsql().AddOtlpExporter())
            .WithMetrics(m => m.AddAspNetCoreInstrumentation().AddRuntimeInstrumentation().AddMeter("Npgsql").AddOtlpExporter());
    }

    /// <summary>One JSON object a line, times in UTC: whatever is in a message, it cannot begin a line of its own.</summary>
    public static ILoggingBuilder AddKilnShareJson(this ILoggingBuilder logging) => logging.ClearProviders().AddJsonConsole(o =>
    {
        o.UseUtcTimestamp = true;
        o.TimestampFormat = "yyyy-MM-dd'T'HH:mm:ss.fff'Z'";
        o.IncludeScopes = true; // the trace's id, by which a problem document names its request
    });

    /// <summary>One line a request, by its route and never by its path, query, headers or body: no name or token can get into the log.</summary>
    public static void UseRequestLog(this WebApplication app)
    {
        var log = app.Services.GetRequiredService<ILoggerFactory>().CreateLogger("KilnShare.Requests");
        app.Use(async (context, next) =>
        {
            var start = Stopwatch.GetTimestamp();
            try
            {
                await next(context);
            }
            finally
            {
                var operation = context.GetEndpoint()?.Metadata.GetMetadata<IEndpointNameMetadata>()?.EndpointName ?? "none";
                if (!operation.StartsWith("health", StringComparison.Ordinal))
                    Answered(log, operation, context.Response.StatusCode, (long)Stopwatch.GetElapsedTime(start).TotalMilliseconds);
            }
        });
    }

#pragma warning disable RS0030 // asks where the output goes, writes nothing
    private static bool IsTerminal => !Console.IsOutputRedirected;
#pragma warning restore RS0030

    [LoggerMessage(1, LogLevel.Information, "{Operation} answered {Status} in {Milliseconds} ms")]
    private static partial void Answered(ILogger log, string operation, int status, long milliseconds);
}
