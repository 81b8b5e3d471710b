using Microsoft.AspNetCore.Hosting;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;

namespace KilnShare.Api.Tests.Common;

/// <summary>The machine's clock, put ahead when a test says so: what is due later is due at once, however slow the machine is.</summary>
public sealed class ClockAhead : IClock
{
    private const int TicksPerMicrosecond = 10;
    private long ticks;

    /// <summary>Lets a service go by it.</summary>
    public void Set(IWebHostBuilder host) => host.ConfigureServices(s => s.AddSingleton<IClock>(this));

    /// <summary>Puts it ahead.</summary>
    public void GoOn(Duration by) => Interlocked.Add(ref ticks, by.BclCompatibleTicks);

    /// <inheritdoc/>
    public Instant GetCurrentInstant()
    {
        var now = SystemClock.Instance.GetCurrentInstant().ToUnixTimeTicks() + Interlocked.Read(ref ticks);
        return Instant.FromUnixTimeTicks(now - (now % TicksPerMicrosecond));
    }
}
