using KilnShare.Core.Common;
using KilnShare.Core.Firings;

namespace KilnShare.Api.Bookings;

/// <summary>One decision at a time a firing in this process. It saves work; that nothing is sold twice never rests on it.</summary>
public sealed class FiringQueue
{
    private const int Longest = 32;
    private readonly Dictionary<Id<Firing>, Line> lines = [];

    /// <summary>Waits for the firing's turn; dispose to end it. Null when the line is too long.</summary>
    public async Task<IDisposable?> Enter(Id<Firing> firing, CancellationToken cancellation)
    {
        Line line;
        lock (lines)
        {
            if (!lines.TryGetValue(firing, out line!)) lines[firing] = line = new Line();
            if (line.Users >= Longest) return null;
            line.Users++;
        }

        try
        {
            await line.Turn.WaitAsync(cancellation);
            return new Place(this, firing, line);
        }
        catch
        {
            Leave(firing, line);
            throw;
        }
    }

    private void Leave(Id<Firing> firing, Line line)
    {
        lock (lines)
        {
            if (--line.Users > 0) return;
            lines.Remove(firing);
            line.Turn.Dispose();
        }
    }

    private sealed class Line
    {
        public SemaphoreSlim Turn { get; } = new(1);

        public int Users { get; set; }
    }

    private sealed class Place(FiringQueue queue, Id<Firing> firing, Line line) : IDisposable
    {
        public void Dispose()
        {
            line.Turn.Release();
            queue.Leave(firing, line);
        }
    }
}
