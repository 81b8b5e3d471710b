using System.Diagnostics;
using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Costs;

public sealed class LargeSettlementTests(Service service) : IClassFixture<Service>
{
    private const int Members = 40;
    private const int Firings = 5;

    // The promise: a firing of forty members is settled within 50 ms. Here the sums, and the time printed; shared machines keep no limit.
    [Fact]
    public async Task A_firing_of_forty_members_is_settled_to_the_cent()
    {
        var studio = await CostStudio.Make(service);
        await studio.Rules(new { minimumMinor = 20, unusedSpace = "studio", discounts = new[] { new { memberId = studio.OtherPotterId, percent = 10 } } });
        var potters = new List<Caller> { studio.Studio.Potter, studio.Studio.OtherPotter };
        while (potters.Count < Members) potters.Add((await studio.Studio.Add(service, $"potter {potters.Count}", "potter")).Caller);
        var times = new List<double>();
        for (var i = 0; i < Firings; i++)
        {
            var firing = await studio.Accepting();
            var pieces = new List<Guid>();
            foreach (var potter in potters) pieces.Add(await studio.Piece(potter, heightMm: 60 + pieces.Count));
            await studio.Fire(firing, pieces);
            var watch = Stopwatch.StartNew();
            var settled = (await studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/settlement")).Expect(HttpStatusCode.Created);
            times.Add(watch.Elapsed.TotalMilliseconds);
            var shares = CostStudio.Shares(settled.Body.GetProperty("split"));
            Assert.Equal((Members + 1, 1978 + 450L), (shares.Count, shares.Values.Sum()));
        }

        TestContext.Current.TestOutputHelper?.WriteLine(
            $"{Members} members settled over HTTP: median {times.Order().ElementAt(Firings / 2):0.0} ms, slowest {times.Max():0.0} ms");
        Assert.Empty(await InvariantTests.Broken(service));
    }
}
