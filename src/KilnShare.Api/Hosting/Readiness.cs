using KilnShare.Storage;
using KilnShare.Storage.Setup;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Hosting;

/// <summary>Whether the database takes writes: tried as requests write, at most once in a while however many ask.</summary>
public sealed class Readiness(Databases databases, DbContextOptions<KilnShareDb> options, IClock clock, TimeProvider time, ILogger<Readiness> log)
{
    private static readonly TimeSpan GoodFor = TimeSpan.FromSeconds(10);
    private static readonly TimeSpan BadFor = TimeSpan.FromSeconds(1);
    private static readonly TimeSpan Longest = TimeSpan.FromSeconds(15);
    private readonly Lock door = new();
    private Task<Exception?>? trial;
    private long goodUntil;

    /// <summary>What the latest trial failed by; null where it went well. Those who ask while one is under way wait for it.</summary>
    public Task<Exception?> Failure()
    {
        lock (door)
        {
            if (trial is null || (trial.IsCompleted && time.GetTimestamp() > Volatile.Read(ref goodUntil))) trial = Try();
            return trial;
        }
    }

    private async Task<Exception?> Try()
    {
        using var limit = new CancellationTokenSource(Longest, time);
        try
        {
            await using var db = new KilnShareDb(options);
            db.Database.SetDbConnection(databases.Alone.CreateConnection(), contextOwnsConnection: true);
            await WriteTrial.Run(db, clock.GetCurrentInstant(), limit.Token);
            Keep(GoodFor);
            return null;
        }
        catch (Exception e)
        {
            Keep(BadFor);
            databases.Heed(e);
            log.LogError(e, "The database refuses a write that is tried and taken back");
            return e;
        }
    }

    private void Keep(TimeSpan span) => Volatile.Write(ref goodUntil, time.GetTimestamp() + (long)(span.TotalSeconds * time.TimestampFrequency));
}
