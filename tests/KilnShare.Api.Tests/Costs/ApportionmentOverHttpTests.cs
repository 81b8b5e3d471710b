using System.Net;
using CsCheck;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Costs;

public sealed class ApportionmentOverHttpTests(Service service) : IClassFixture<Service>
{
    // Largest remainders, published worked examples; in the second an exact half is left and two parties tie for it, so either may have it.
    [Theory]
    [InlineData(42, new[] { 247, 185, 459, 400, 413 }, new[] { 6, 5, 11, 10, 10 }, -1)]
    [InlineData(250, new[] { 1003200, 1228600, 4990700, 813000, 764500 }, new[] { 28, 35, 142, 23, 22 }, 0)]
    [InlineData(2750, new[] { 96, 36, 300, 225 }, new[] { 402, 150, 1256, 942 }, -1)]
    public async Task Published_apportionments_come_out_of_the_call(int total, int[] weights, int[] expected, int tied)
    {
        var viewer = (await service.MakeStudio()).Viewer;
        var shares = (await Split(viewer, total, weights, "")).Select(s => (int)s).ToArray();
        Assert.Equal(total, shares.Sum());
        for (var i = 0; i < shares.Length; i++) Assert.InRange(shares[i], expected[i] - (tied >= 0 ? 1 : 0), expected[i] + (tied >= 0 ? 1 : 0));
        if (tied < 0) Assert.Equal(expected, shares);
    }

    // 1000 in three: 334, 333, 333; over many firings the odd cent goes round, a third of the time to each.
    [Fact]
    public async Task The_odd_cent_goes_round()
    {
        var viewer = (await service.MakeStudio()).Viewer;
        var got = new int[3];
        for (var firing = 0; firing < 60; firing++)
        {
            var shares = await Split(viewer, 1000, [1, 1, 1], "firing " + firing);
            Assert.Equal([333L, 333L, 334L], shares.Order());
            got[Array.IndexOf(shares, 334)]++;
        }

        Assert.All(got, times => Assert.InRange(times, 8, 32));
    }

    // L4 and L5: shares sum to the total, each within one unit of its ideal, weight 0 pays 0, the mirror image of a refund; drawn with a seed by CsCheck.
    [Fact]
    public async Task Cents_are_never_lost_nor_made_whatever_is_asked()
    {
        var viewer = (await service.MakeStudio()).Viewer;
        var drawn = new List<(int Total, int[] Weights)>();
        Gen.Select(Gen.Int[1, 1_000_000], Gen.Int[0, 100_000].Array[1, 12].Where(w => w.Any(x => x > 0))).Sample(
            (total, weights) => drawn.Add((total, weights)), iter: 40, threads: 1, seed: "0000KOIKhFe3");
        foreach (var (total, weights) in drawn)
        {
            var (shares, refund) = (await Split(viewer, total, weights, "s"), await Split(viewer, -total, weights, "s"));
            Assert.Equal(total, shares.Sum());
            Assert.Equal(shares.Select(s => -s), refund);
            for (var i = 0; i < weights.Length; i++)
            {
                Assert.True(Math.Abs(shares[i] - ((decimal)total * weights[i] / weights.Sum(w => (long)w))) < 1, "a whole unit away");
                if (weights[i] == 0) Assert.Equal(0, shares[i]);
            }
        }
    }

    private static async Task<long[]> Split(Caller caller, int total, int[] weights, string seed)
    {
        var reply = (await caller.Post("/v1/calculations/cost-split", new
        {
            currency = "EUR",
            tieSeed = seed,
            parts = new[] { new { name = "energy", amountMinor = total, basis = "mass" } },
            members = weights.Select((w, i) => new { id = $"m{i}", massG = w }),
        })).Expect(HttpStatusCode.OK);
        return [.. reply.Body.GetProperty("shares").EnumerateArray().Select(s => s.GetProperty("amountMinor").GetInt64())];
    }
}
