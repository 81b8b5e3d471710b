using System.Diagnostics;
using System.Net;
using System.Net.Http.Headers;
using System.Text;
using KilnShare.Api.Common;
using KilnShare.Api.Tests.Common;
using KilnShare.Api.Tests.Hosting;
using Microsoft.Extensions.DependencyInjection;

namespace KilnShare.Api.Tests.Edge;

/// <summary>One who asks for as much as he can does not slow the others down. All figures are of one run: quiet and busy by turns.</summary>
[Collection(nameof(Alone))]
public sealed class GreedyTokenTests(Service service, ITestOutputHelper output) : IClassFixture<Service>
{
    private const int AtOnce = 100;
    private const int Reads = 60;
    private const int Bookings = 5;
    private const double MostOverBudgetMs = 100;
    private static readonly bool IsSoak = Environment.GetEnvironmentVariable("KILNSHARE_SOAK") == "1";

    [Fact]
    public async Task One_token_that_asks_a_hundred_times_for_the_dearest_search_leaves_others_their_reads_and_bookings()
    {
        var (greedy, other) = (await service.MakeStudio(), await service.MakeStudio());
        var (clay, firing) = (await other.MakeClay(), await other.MakeFiring(await other.MakeKiln(), 6_000));
        var piece = await other.MakePiece(other.Potter, clay, await other.MakeGlaze());
        var (read, book) = ($"{other.Path}/clays/{clay}", $"{other.Path}/firings/{firing}/bookings");
        await Times(Reads, Read);
        await Times(Bookings, Book);
        var (reads, bookings) = (new List<double>(), new List<double>());
        for (var round = 0; round < (IsSoak ? 15 : 9); round++)
        {
            var (quietRead, quietBooking) = (await Times(Reads, Read), await Times(Bookings, Book));
            using var leaving = new CancellationTokenSource();
            var asked = Enumerable.Range(0, AtOnce).Select(_ => Ask(greedy.Viewer.Token!, leaving.Token)).ToList();
            var (busyRead, busyBooking) = (await Times(Reads, Read), await Times(Bookings, Book));
            Assert.Contains(asked, a => !a.IsCompleted); // somebody searched all the while
            await leaving.CancelAsync();
            await Task.WhenAll(asked);
            while (service.Services.GetRequiredService<SearchPlaces>().Calculations.Taken > 0) await Task.Delay(5, TestContext.Current.CancellationToken);
            output.WriteLine($"a read {quietRead:0.00} ms, beside the greedy {busyRead:0.00}; a booking {quietBooking:0.0} ms, {busyBooking:0.0}");
            reads.Add(busyRead / quietRead);
            bookings.Add(busyBooking - (1.5 * quietBooking));
        }

        output.WriteLine($"reads: {Median(reads):0.00} times as long");
        Assert.True(Median(reads) <= (IsSoak ? 1.2 : 1.5), $"Reads took {Median(reads):0.00} times as long.");
        Assert.True(Median(bookings) <= MostOverBudgetMs, $"Bookings took {Median(bookings):0} ms more than half as long again.");

        async Task Read() => (await other.Viewer.Get(read)).Expect(HttpStatusCode.OK);

        async Task Book()
        {
            var booking = TestStudio.IdOf(await other.Potter.Post(book, new { pieces = new[] { new { pieceId = piece } } }));
            (await other.Potter.Post($"{book}/{booking}/withdrawal")).Expect(HttpStatusCode.OK);
        }
    }

    private async Task Ask(string token, CancellationToken leaving)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, "/v1/calculations/load-plan")
        {
            Content = new StringContent(SearchGateTests.Dear("milliseconds", SearchGate.MostMilliseconds), Encoding.UTF8, "application/json"),
        };
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", token);
        try
        {
            using var response = await service.CreateClient().SendAsync(request, leaving);
            Assert.Contains(response.StatusCode, new[] { HttpStatusCode.OK, HttpStatusCode.ServiceUnavailable });
        }
        catch (OperationCanceledException)
        {
            // the round is over
        }
    }

    /// <summary>The median of so many times, ms.</summary>
    private static async Task<double> Times(int times, Func<Task> ask)
    {
        var taken = new List<double>();
        for (var i = 0; i < times; i++)
        {
            var start = Stopwatch.GetTimestamp();
            await ask();
            taken.Add(Stopwatch.GetElapsedTime(start).TotalMilliseconds);
        }

        return Median(taken);
    }

    private static double Median(List<double> of) => of.Order().ElementAt(of.Count / 2);
}
