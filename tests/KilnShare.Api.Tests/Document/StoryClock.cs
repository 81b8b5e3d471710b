using System.Diagnostics;
using Microsoft.AspNetCore.Hosting;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;

namespace KilnShare.Api.Tests.Document;

/// <summary>The story's own time: it begins on the morning of its firing, whatever the day on which it is told, and goes on as time does.</summary>
public sealed class StoryClock : IClock
{
    private const int TicksPerMicrosecond = 10;
    private static readonly Instant Morning = Instant.FromUtc(2027, 3, 14, 5, 0);
    private readonly long begun = Stopwatch.GetTimestamp();

    /// <summary>Lets a service go by the story's time.</summary>
    public static void Set(IWebHostBuilder host) => host.ConfigureServices(s => s.AddSingleton<IClock>(new StoryClock()));

    /// <inheritdoc/>
    public Instant GetCurrentInstant()
    {
        var ticks = Stopwatch.GetElapsedTime(begun).Ticks;
        return Morning.PlusTicks(ticks - (ticks % TicksPerMicrosecond));
    }
}
