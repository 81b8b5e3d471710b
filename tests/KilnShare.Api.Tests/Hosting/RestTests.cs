using KilnShare.Api.Hosting;
using KilnShare.Api.Tests.Edge;

namespace KilnShare.Api.Tests.Hosting;

/// <summary>Memory is given back between bursts of work, and only then.</summary>
[Collection(nameof(Alone))]
public sealed class RestTests
{
    private const int SeveralMiB = 4 * 1024 * 1024;

    [Fact]
    public async Task Memory_is_given_back_at_the_first_quiet_look_after_work_and_not_again_until_there_was_more()
    {
        var clock = new Looks();
        using var rest = new Rest(clock);
        await rest.StartAsync(TestContext.Current.CancellationToken);
        Assert.Equal((0, 1, 0), (await Collections(clock, work: true), await Collections(clock, isDue: true), await Collections(clock)));
        Assert.Equal((0, 1), (await Collections(clock, work: true), await Collections(clock, isDue: true)));
        await rest.StopAsync(TestContext.Current.CancellationToken);
    }

    /// <summary>How often everything was collected on its account by one look.</summary>
    private static async Task<int> Collections(Looks clock, bool work = false, bool isDue = false)
    {
        if (work) GC.KeepAlive(GC.AllocateUninitializedArray<byte>(SeveralMiB));
        var before = GC.CollectionCount(GC.MaxGeneration);
        await clock.Look();
        // Nothing is to come of most looks: they are given a moment. What is to come is waited for.
        for (var waits = 0; waits < (isDue ? 600 : 4) && GC.CollectionCount(GC.MaxGeneration) == before; waits++)
            await Task.Delay(50, TestContext.Current.CancellationToken);
        return Math.Min(1, GC.CollectionCount(GC.MaxGeneration) - before); // an aggressive collection may count as several
    }

    /// <summary>A clock whose timers ring when a test says so.</summary>
    private sealed class Looks : TimeProvider
    {
        private readonly TaskCompletionSource<Action> made = new();

        public async Task Look() => (await made.Task.WaitAsync(TestContext.Current.CancellationToken))();

        public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
        {
            made.SetResult(() => callback(state));
            return new Timer();
        }

        private sealed class Timer : ITimer
        {
            public bool Change(TimeSpan dueTime, TimeSpan period) => true;

            public void Dispose()
            {
            }

            public ValueTask DisposeAsync() => ValueTask.CompletedTask;
        }
    }
}
