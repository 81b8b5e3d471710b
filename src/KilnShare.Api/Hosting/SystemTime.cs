using NodaTime;

namespace KilnShare.Api.Hosting;

/// <summary>The one place where the service looks at the machine's clock.</summary>
internal static class SystemTime
{
#pragma warning disable RS0030 // everything else takes IClock from here
    public static IClock Clock => SystemClock.Instance;
#pragma warning restore RS0030
}
