using KilnShare.Core.Common;
using KilnShare.Core.Studios;

namespace KilnShare.Core.Firings;

/// <summary>Some readings of a firing's log, as they are kept: see <see cref="LogEncoding"/>.</summary>
public sealed class LogChunk(Id<Studio> studioId, Id<Firing> firingId, int number, int count, byte[] encoded)
{
    /// <summary>A chunk takes in further batches until it holds so many.</summary>
    public const int FullAt = 2_000;

    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>Counted from 0, in the order in which they came.</summary>
    public int Number { get; private set; } = number;

    /// <summary>How many readings.</summary>
    public int Count { get; private set; } = count;

    /// <summary>The readings.</summary>
    public byte[] Encoded { get; private set; } = encoded;

    /// <summary>The readings, decoded.</summary>
    /// <exception cref="InvalidOperationException">The stored bytes are damaged.</exception>
    public IReadOnlyList<LogReading> Readings => LogEncoding.Decode(Encoded).Value;

    /// <summary>A chunk of these readings.</summary>
    public static LogChunk Of(Firing firing, int number, IReadOnlyList<LogReading> readings) =>
        new(firing.StudioId, firing.Id, number, readings.Count, LogEncoding.Encode(readings));

    /// <summary>Takes in further readings.</summary>
    public void Append(IReadOnlyList<LogReading> readings)
    {
        Encoded = LogEncoding.Encode([.. Readings, .. readings]);
        Count += readings.Count;
    }
}
