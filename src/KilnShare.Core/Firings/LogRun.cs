using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>One unbroken numbering of a logger: in it number and time rise together.</summary>
internal sealed class LogRun(int number)
{
    private readonly List<LogReading> readings = [];

    public int Number { get; } = number;

    public IReadOnlyList<LogReading> Readings => readings;

    public Instant Start => readings[0].At;

    /// <summary>How a reading stands to this run.</summary>
    public enum Standing
    {
        New,
        Repeated,
        Contradicts,
        Restarts,
    }

    /// <summary>Stores a new reading; says what it is otherwise.</summary>
    public Standing Take(LogReading reading)
    {
        var place = PlaceOf(reading.Sequence);
        if (Holds(reading)) return Standing.Repeated;
        var known = place < readings.Count && readings[place].Sequence == reading.Sequence;
        var afterAll = readings.Count > 0 && reading.At > readings[^1].At;
        if (afterAll && reading.Sequence <= readings[^1].Sequence) return Standing.Restarts;
        var inOrder = (place == 0 || readings[place - 1].At < reading.At) && (place == readings.Count || reading.At < readings[place].At);
        if (known || !inOrder) return Standing.Contradicts;
        readings.Insert(place, reading);
        return Standing.New;
    }

    /// <summary>True when this very reading is stored here.</summary>
    public bool Holds(LogReading reading)
    {
        var place = PlaceOf(reading.Sequence);
        return place < readings.Count && readings[place] == reading with { Run = Number };
    }

    /// <summary>The last reading not later than that moment, and the first later one.</summary>
    public (LogReading? Before, LogReading? After) Around(Instant at)
    {
        int low = 0, high = readings.Count;
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (readings[middle].At <= at) low = middle + 1;
            else high = middle;
        }
        return (low > 0 ? readings[low - 1] : null, low < readings.Count ? readings[low] : null);
    }

    public IEnumerable<LogGap> Gaps()
    {
        for (var i = 1; i < readings.Count; i++)
            if (readings[i].Sequence - readings[i - 1].Sequence > 1)
                yield return new LogGap(Number, readings[i - 1].Sequence + 1, readings[i].Sequence - 1, readings[i - 1].At, readings[i].At);
    }

    private int PlaceOf(long sequence)
    {
        if (readings.Count == 0 || readings[^1].Sequence < sequence) return readings.Count;
        int low = 0, high = readings.Count;
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (readings[middle].Sequence < sequence) low = middle + 1;
            else high = middle;
        }
        return low;
    }
}
