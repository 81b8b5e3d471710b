using Microsoft.Extensions.Logging.Console;
using Npgsql;
using OpenTelemetry.Metrics;
using OpenTelemetry.Resources;
using OpenTelemetry.Trace;

namespace KilnShare.Api.Hosting;

/// <summary>What the service tells of itself: one log line an event, and traces and figures to a collector where one is named.</summary>
public static class Telemetry
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
    public static ILoggingBuilder AddKilnShareJson(this ILoggingBuilder logging)
    {
        logging.ClearProviders().AddJsonConsole(o =>
        {
            o.UseUtcTimestamp = true;
            o.TimestampFormat = "yyyy-MM-dd'T'HH:mm:ss.fff'Z'";
            o.IncludeScopes = true; // the trace's id, by which a problem document names its request
        }).AddConsole(o => o.FormatterName = LogLine.FormatterName);
        logging.Services.AddSingleton<ConsoleFormatter, LogLine>();
        return logging;
    }

#pragma warning disable RS0030 // asks where the output goes, writes nothing
    private static bool IsTerminal => !Console.IsOutputRedirected;
#pragma warning restore RS0030
}
