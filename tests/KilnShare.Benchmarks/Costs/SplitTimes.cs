using System.Diagnostics;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;

namespace KilnShare.Benchmarks.Costs;

/// <summary>Ten million generated splits: each sums exactly.</summary>
internal static class SplitTimes
{
    private const int Splits = 10_000_000;
    private const int MostMembers = 8;

    public static void Print()
    {
        var dice = new Random(1);
        var eur = Currency.Parse("EUR")!.Value;
        var ranks = Enumerable.Range(0, MostMembers).ToArray();
        var wrong = 0;
        var clock = Stopwatch.StartNew();
        for (var i = 0; i < Splits; i++)
        {
            var weights = new System.Numerics.BigInteger[dice.Next(1, MostMembers + 1)];
            for (var w = 0; w < weights.Length; w++) weights[w] = dice.Next(1, 1_000_000);
            var total = dice.NextInt64(-1_000_000, 1_000_000);
            if (Apportionment.Divide(total, weights, ranks.AsSpan(0, weights.Length)).Sum() != total) wrong++;
        }

        Console.WriteLine($"| generated splits | {Splits:N0} | sums that are off | {wrong} | {clock.Elapsed.TotalSeconds:0.0} s |");
        var members = Enumerable.Range(0, 40).Select(i => new MemberUse($"m{i}", 3, 240 + i, 9600 + (i * 37), 2100)).ToList();
        clock.Restart();
        for (var i = 0; i < 100; i++) _ = CostSplit.Split(new CostSplitRequest(
            eur, [new CostPart("energy", 2750, CostBasis.Volume), new CostPart("wear", 500, CostBasis.Equal)], members, $"firing {i}")).Value;
        Console.WriteLine($"| cost split of 40 members | {clock.Elapsed.TotalMilliseconds / 100:0.00} ms |");
    }
}
