using System.Runtime.InteropServices;

namespace KilnShare.Benchmarks.Loading;

/// <summary>The processor time of the calling thread as a clock (Linux), so that a busy machine does not blur what a search can do in a given time.</summary>
internal sealed partial class CpuClock : TimeProvider
{
    private const int ThreadCpuTime = 3;
    private const long NanosecondsPerSecond = 1_000_000_000;

    public override long TimestampFrequency => NanosecondsPerSecond;

    public override long GetTimestamp()
    {
        ReadClock(ThreadCpuTime, out var time);
        return (time.Seconds * NanosecondsPerSecond) + time.Nanoseconds;
    }

    [LibraryImport("libc", EntryPoint = "clock_gettime")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static partial int ReadClock(int clock, out TimeSpec time);

    private struct TimeSpec
    {
        public long Seconds;
        public long Nanoseconds;
    }
}
