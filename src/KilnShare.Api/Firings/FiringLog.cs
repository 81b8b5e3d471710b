using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>The log of a firing, as it stands in the database.</summary>
/// <param name="Firing">The firing.</param>
/// <param name="Assembly">Its readings.</param>
internal sealed record FiringLog(Firing Firing, LogAssembly Assembly)
{
    // A logger may be switched on this long before the kiln.
    private static readonly Duration Early = Duration.FromHours(6);

    /// <summary>The readings in the order of time.</summary>
    public IReadOnlyList<LogReading> Readings { get; } = Assembly.Readings;

    // A kiln that had climbed so far before it was said to be lit was lit earlier.
    private const double ClimbedC = 30;

    /// <summary>When the firing began: when it was said to be lit, unless the kiln was climbing by then; else by its log; else its first reading.</summary>
    public Instant Start => Firing.LitAt is { } lit && !Readings.TakeWhile(r => r.At < lit).Any(r => r.Celsius > Readings[0].Celsius + ClimbedC)
        ? lit
        : (Firing.LitAt is null ? LogLighting.StartOfClimb(Readings) : null) ?? (Readings.Count > 0 ? Readings[0].At : Firing.StartsAt);

    /// <summary>Reads the log of a firing.</summary>
    public static async Task<FiringLog> Read(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        var chunks = await db.Set<LogChunk>().AsNoTracking().Where(c => c.StudioId == firing.StudioId && c.FiringId == firing.Id)
            .OrderBy(c => c.Number).ToListAsync(cancellation);
        return new FiringLog(firing, AssemblyOf(firing, chunks));
    }

    /// <summary>The stored readings, ready to take more.</summary>
    public static LogAssembly AssemblyOf(Firing firing, IEnumerable<LogChunk> chunks) =>
        LogAssembly.Of(Earliest(firing), chunks.SelectMany(c => c.Readings));

    /// <summary>The log as a curve; refused while there are fewer than two readings.</summary>
    public Result<LogCurve> ToCurve() => Readings.Count < 2
        ? Refusal.Rule("firings.no-log", "This firing has fewer than two readings, so there is no curve yet. Send readings first.")
        : LogCurve.Of(Readings, Start) is var curve && curve.Refusal is { } refusal
            ? refusal with { Kind = RefusalKind.Rule, Pointer = null } : curve;

    private static Instant Earliest(Firing firing) => Instant.Min(firing.LitAt ?? firing.StartsAt, firing.StartsAt) - Early;
}
