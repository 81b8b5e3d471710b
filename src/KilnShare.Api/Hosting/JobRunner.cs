using KilnShare.Api.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using NodaTime;
using Npgsql;

namespace KilnShare.Api.Hosting;

/// <summary>
/// Does the jobs that lie in the database. Any number of services share them, since each job is
/// claimed with <c>for update skip locked</c> by the worker role, and done under its own studio by the ordinary role.
/// </summary>
public sealed class JobRunner(Databases databases, IServiceScopeFactory scopes, JobSignal signal, IClock clock, ILogger<JobRunner> log) : BackgroundService
{
    private const int LongestWaitSeconds = 3600;
    private static readonly TimeSpan Pause = TimeSpan.FromSeconds(2);

    private sealed record Job(Id<Studio> Studio, Guid Id, string Kind, Id<Firing> Subject, int Attempts);

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                while (databases.Worker is { } worker && await DoOne(worker, stoppingToken))
                {
                    // until none is left
                }

                await signal.Wait(Pause, stoppingToken);
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
            catch (Exception e) when (!stoppingToken.IsCancellationRequested)
            {
                databases.Heed(e);
                log.LogWarning(e, "A job failed and is tried again");
                await Task.Delay(Pause, stoppingToken);
            }
        }
    }

    private async Task<bool> DoOne(NpgsqlDataSource worker, CancellationToken cancellation)
    {
        await using var connection = await worker.OpenConnectionAsync(cancellation);
        await using var transaction = await connection.BeginTransactionAsync(cancellation);
        if (await Claim(connection, cancellation) is not { } job) return false;
        try
        {
            await using var scope = scopes.CreateAsyncScope();
            await scope.ServiceProvider.GetRequiredService<FiringJobs>().Do(job.Kind, job.Studio, job.Subject, cancellation);
        }
        catch (Exception e) when (!cancellation.IsCancellationRequested) // whatever is wrong with one job, the others are done
        {
            databases.Heed(e);
            log.LogWarning(e, "A job failed and is tried again later");
            await Put(connection, "update job set attempts = attempts + 1, run_at = $1 where studio_id = $2 and id = $3", clock.GetCurrentInstant() + Later(
                job.Attempts), job, cancellation);
            await transaction.CommitAsync(cancellation);
            return true;
        }

        await Put(connection, "update job set done_at = $1 where studio_id = $2 and id = $3", clock.GetCurrentInstant(), job, cancellation);
        await transaction.CommitAsync(cancellation);
        return true;
    }

    private static async Task Put(NpgsqlConnection connection, string sql, Instant at, Job job, CancellationToken cancellation)
    {
        await using var put = new NpgsqlCommand(
            sql, connection)
        { Parameters = { new() { Value = at }, new() { Value = job.Studio.Value }, new() { Value = job.Id } } };
        await put.ExecuteNonQueryAsync(cancellation);
    }

    /// <summary>Others are done first; a job that keeps failing is tried once an hour.</summary>
    private static Duration Later(int attempts) => Duration.FromSeconds(Math.Min(LongestWaitSeconds, 2 << Math.Min(attempts, 12)));

    private async Task<Job?> Claim(NpgsqlConnection connection, CancellationToken cancellation)
    {
        const string Sql = "select studio_id, id, kind, subject, attempts from job where done_at is null and run_at <= $1 order by run_at limit 1 for update "
            + "skip locked";
        await using var claim = new NpgsqlCommand(Sql, connection) { Parameters = { new() { Value = clock.GetCurrentInstant() } } };
        await using var row = await claim.ExecuteReaderAsync(cancellation);
        return await row.ReadAsync(cancellation)
            ? new Job(new Id<Studio>(row.GetGuid(0)), row.GetGuid(1), row.GetString(2), new Id<Firing>(row.GetGuid(3)), row.GetInt32(4)) : null;
    }
}

/// <summary>Wakes the job runner when there is something to do.</summary>
public sealed class JobSignal : IDisposable
{
    private readonly SemaphoreSlim bell = new(0, 1);

    /// <summary>There is something to do.</summary>
    public void Ring()
    {
        try
        {
            bell.Release();
        }
        catch (SemaphoreFullException)
        {
            // It rings already.
        }
    }

    /// <summary>Waits for the bell, or so long.</summary>
    public Task Wait(TimeSpan most, CancellationToken cancellation) => bell.WaitAsync(most, cancellation);

    /// <inheritdoc/>
    public void Dispose() => bell.Dispose();
}
