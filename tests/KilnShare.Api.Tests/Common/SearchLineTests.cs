using KilnShare.Api.Common;

namespace KilnShare.Api.Tests.Common;

/// <summary>Who has the next turn at a search.</summary>
public sealed class SearchLineTests
{
    private static readonly TimeSpan Long = TimeSpan.FromMinutes(5);
    private static readonly int Tries = Environment.GetEnvironmentVariable("KILNSHARE_SOAK") == "1" ? 200 : 20;

    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    private static SearchCaller Of(int studio, int token = 0) => new(new Guid(studio, 1, 0, new byte[8]), new Guid(studio, 2, (short)token, new byte[8]));

    [Fact]
    public async Task Turns_go_round_between_studios_and_in_a_studio_between_tokens()
    {
        var line = new SearchLine(1, new SearchLineLimits(100, 100, 100, Long));
        var (first, turns) = ((await line.Enter(Of(1), Cancellation))!, new List<string>());
        List<Task> waiting = [.. new[] { Of(1), Of(1), Of(1), Of(1, 7), Of(2), Of(2), Of(3) }.Select(Take)];
        first.Dispose();
        await Task.WhenAll(waiting);
        Assert.Equal("2 3 1.7 2 1 1 1", string.Join(' ', turns));

        async Task Take(SearchCaller caller)
        {
            using var place = await line.Enter(caller, Cancellation);
            turns.Add(caller.Studio.ToByteArray()[0] + (caller.Token.ToByteArray()[6] is var t and > 0 ? "." + t : ""));
        }
    }

    [Fact]
    public async Task A_token_and_a_studio_have_so_many_in_line_and_others_find_room_all_the_same()
    {
        var line = new SearchLine(1, new SearchLineLimits(10, 5, 2, Long));
        using var first = await line.Enter(Of(1), Cancellation);
        using var leaving = new CancellationTokenSource();
        List<Task<IDisposable?>> waiting = [];
        Assert.Equal(2, await Enter(Of(1), 20));
        Assert.Equal(2, await Enter(Of(1, 1), 20));
        Assert.Equal(1, await Enter(Of(1, 2), 20));
        Assert.Equal(0, await Enter(Of(1, 3), 20));
        Assert.Equal(2, await Enter(Of(2), 20));
        Assert.Equal(2, await Enter(Of(3), 20));
        Assert.Equal(1, await Enter(Of(4), 20));
        Assert.Equal(10, line.Waiting);
        await leaving.CancelAsync();
        foreach (var one in waiting) await Assert.ThrowsAnyAsync<OperationCanceledException>(() => one);
        Assert.Equal(0, line.Waiting);

        // How many of so many stand in line.
        async Task<int> Enter(SearchCaller caller, int times)
        {
            var stand = 0;
            for (var i = 0; i < times; i++)
            {
                var one = line.Enter(caller, leaving.Token);
                if (one.IsCompleted) Assert.Null(await one);
                else waiting.Add(one);
                stand += one.IsCompleted ? 0 : 1;
            }

            return stand;
        }
    }

    [Fact]
    public async Task Who_waits_too_long_is_told_and_loses_nobody_a_place()
    {
        var line = new SearchLine(1, new SearchLineLimits(10, 5, 2, TimeSpan.FromMilliseconds(20)));
        var first = await line.Enter(Of(1), Cancellation);
        Assert.Null(await line.Enter(Of(2), Cancellation));
        first!.Dispose();
        Assert.NotNull(await line.Enter(Of(3), Cancellation));
    }

    /// <summary>Some give up at the moment their turn comes: never two at one place, and in the end the place is free.</summary>
    [Fact]
    public async Task No_place_is_lost_or_doubled_when_those_in_line_leave_it()
    {
        for (var again = 0; again < Tries; again++)
        {
            var line = new SearchLine(2, new SearchLineLimits(1_000, 1_000, 1_000, Long));
            var (inside, most) = (0, 0);
            await Task.WhenAll(Enumerable.Range(0, 200).Select(i => Task.Run(
                async () =>
                {
                    using var leaving = new CancellationTokenSource();
                    if (i % 3 == 0) leaving.CancelAfter(TimeSpan.FromMilliseconds(i % 5));
                    try
                    {
                        using var place = await line.Enter(Of(i % 7, i % 4), leaving.Token);
                        var now = Interlocked.Increment(ref inside);
                        if (now > Volatile.Read(ref most)) Volatile.Write(ref most, now);
                        await Task.Yield();
                        Interlocked.Decrement(ref inside);
                    }
                    catch (OperationCanceledException)
                    {
                        // left
                    }
                },
                Cancellation)));
            Assert.InRange(most, 1, 2);
            Assert.Equal(0, line.Waiting);
            using var one = await line.Enter(Of(1), Cancellation).WaitAsync(Long, Cancellation);
            using var two = await line.Enter(Of(2), Cancellation).WaitAsync(Long, Cancellation);
            Assert.False(line.Enter(Of(3), Cancellation).IsCompleted);
        }
    }
}
