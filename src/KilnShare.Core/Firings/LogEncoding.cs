using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>
/// A log in few bytes: numbers and times as differences of differences, temperatures as differences, each as a variable-length
/// integer. A logger that reads once a minute takes about four bytes a reading. Nothing is lost.
/// </summary>
/// <remarks>
/// Source: the idea of the difference of differences for regular times is that of Pelkonen and others, Proc. VLDB Endow. 8 (2015)
/// 1816; zig-zag and base-128 integers are as in common binary formats. Units inside: ms, 0.01 °C.
/// </remarks>
public static class LogEncoding
{
    private const byte Format = 1;
    private const double StepsPerDegree = 100;
    private const int BitsPerByte = 7;
    private const int MostBytesOfLong = 10;
    private static readonly long EarliestMs = Instant.FromUtc(2000, 1, 1, 0, 0).ToUnixTimeMilliseconds();
    private static readonly long LatestMs = Instant.FromUtc(2101, 1, 1, 0, 0).ToUnixTimeMilliseconds();

    /// <summary>The readings in bytes, in the order given.</summary>
    public static byte[] Encode(IReadOnlyList<LogReading> readings)
    {
        using var bytes = new MemoryStream();
        bytes.WriteByte(Format);
        Write(bytes, readings.Count);
        var last = default(State);
        foreach (var reading in readings)
        {
            var next = new State(
                reading.Run, reading.Sequence, reading.At.ToUnixTimeMilliseconds(), (long)Math.Round(reading.Celsius * StepsPerDegree));
            next = next with { SequenceStep = next.Sequence - last.Sequence, MsStep = next.Ms - last.Ms };
            Write(bytes, next.Run - last.Run);
            Write(bytes, next.SequenceStep - last.SequenceStep);
            Write(bytes, next.MsStep - last.MsStep);
            Write(bytes, next.Hundredths - last.Hundredths);
            last = next;
        }
        return bytes.ToArray();
    }

    /// <summary>The readings of encoded bytes; refused where they are not such bytes.</summary>
    public static Result<IReadOnlyList<LogReading>> Decode(ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length == 0 || bytes[0] != Format) return Corrupt();
        bytes = bytes[1..];
        if (!TryRead(ref bytes, out var count) || count < 0 || count > LogAssembly.MostReadings || count > bytes.Length) return Corrupt();
        var readings = new List<LogReading>((int)count);
        var last = default(State);
        for (var i = 0; i < count; i++)
        {
            if (!TryRead(ref bytes, out var run) || !TryRead(ref bytes, out var sequence)
                || !TryRead(ref bytes, out var ms) || !TryRead(ref bytes, out var hundredths))
                return Corrupt();
            if (Next(last, run, sequence, ms, hundredths) is not { } next) return Corrupt();
            readings.Add(new LogReading(
                (int)next.Run, next.Sequence, Instant.FromUnixTimeMilliseconds(next.Ms), next.Hundredths / StepsPerDegree));
            last = next;
        }
        return bytes.Length == 0 ? readings : Corrupt();
    }

    private readonly record struct State(long Run, long Sequence, long Ms, long Hundredths, long SequenceStep = 0, long MsStep = 0);

    // Corrupt differences may wrap around; whatever they give must lie where readings lie.
    private static State? Next(State last, long run, long sequence, long ms, long hundredths)
    {
        unchecked
        {
            var (sequenceStep, msStep) = (last.SequenceStep + sequence, last.MsStep + ms);
            var next = new State(last.Run + run, last.Sequence + sequenceStep, last.Ms + msStep, last.Hundredths + hundredths, sequenceStep, msStep);
            return next.Run is >= 0 and <= LogAssembly.MostReadings && next.Sequence >= 0 && next.Ms >= EarliestMs && next.Ms <= LatestMs
                && Math.Abs((double)next.Hundredths) <= Cones.TemperatureHistory.HighestC * StepsPerDegree
                ? next
                : null;
        }
    }

    private static void Write(MemoryStream bytes, long value)
    {
        var rest = unchecked((ulong)((value << 1) ^ (value >> 63)));
        while (rest > 0x7F)
        {
            bytes.WriteByte((byte)((rest & 0x7F) | 0x80));
            rest >>= BitsPerByte;
        }
        bytes.WriteByte((byte)rest);
    }

    private static bool TryRead(ref ReadOnlySpan<byte> bytes, out long value)
    {
        ulong whole = 0;
        for (var i = 0; i < bytes.Length && i < MostBytesOfLong; i++)
        {
            whole |= (ulong)(bytes[i] & 0x7F) << (i * BitsPerByte);
            if (bytes[i] > 0x7F) continue;
            bytes = bytes[(i + 1)..];
            value = unchecked((long)(whole >> 1) ^ -(long)(whole & 1));
            return true;
        }
        value = 0;
        return false;
    }

    private static Refusal Corrupt() =>
        Refusal.Invalid("firings.log-corrupt", "These bytes are no stored log, or were damaged. Ask the logger to send its readings again.");
}
