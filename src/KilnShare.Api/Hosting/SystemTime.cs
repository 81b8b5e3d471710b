using NodaTime;

namespace KilnShare.Api.Hosting;

/// <summary>
/// The one place where the service looks at the machine's clock. Whole microseconds, as PostgreSQL keeps them: a time reads the same when it is told
/// at once and when it is read later.
/// </summary>
internal sealed class SystemTime : IClock
{
    private const int TicksPerMicrosecond = 10;

    public static IClock Clock { get; } = new SystemTime();

    public Instant GetCurrentInstant()
    {
#pragma warning disable RS0030 // everything else takes IClock from here
        var ticks = SystemClock.Instance.GetCurrentInstant().ToUnixTimeTicks();
#pragma warning restore RS0030
        return Instant.FromUnixTimeTicks(ticks - ticks % TicksPerMicrosecond);
    }
}
