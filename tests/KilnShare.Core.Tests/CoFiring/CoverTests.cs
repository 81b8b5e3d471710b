using System.Numerics;
using CsCheck;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;

namespace KilnShare.Core.Tests.CoFiring;

public sealed class CoverTests
{
    private static CoverAnswer Fewest(int rows, int[][] columns, long mostBranchings = 1_000_000) => Cover.Fewest(
        rows, columns, mostBranchings, WorkBudget.OfIterations(long.MaxValue, TestContext.Current.CancellationToken));

    [Fact]
    public void An_odd_ring_of_edges_needs_more_points_than_it_has_edges_apart()
    {
        // Closed form: the vertex cover of a ring of 2k + 1 is k + 1, its matching k.
        foreach (var k in Enumerable.Range(1, 12))
        {
            var size = (2 * k) + 1;
            var answer = Fewest(size, [.. Enumerable.Range(0, size).Select(i => new[] { i, (i + 1) % size })]);
            Assert.Equal((k + 1, k + 1), (answer.Columns.Length, answer.LowerBound));
        }
    }

    [Fact]
    public void The_edges_of_the_petersen_graph_are_covered_by_six_points()
    {
        // Its independence number is 4 of 10 (standard graph tables).
        (int, int)[] edges = [.. Enumerable.Range(0, 5).SelectMany(i => new[] { (i, (i + 1) % 5), (i, i + 5), (i + 5, ((i + 2) % 5) + 5) })];
        Assert.Equal(6, Fewest(15, OfPoints(10, edges.Select(edge => new[] { edge.Item1, edge.Item2 }))).Columns.Length);
    }

    [Fact]
    public void The_lines_of_a_projective_space_of_order_two_are_met_by_a_hyperplane_and_no_fewer()
    {
        // Bose and Burton, J. Combin. Theory 1 (1966) 96: 7 of the 15 points of PG(3,2), 3 of the 7 points of PG(2,2).
        Assert.Equal(3, Fewest(7, OfPoints(7, ProjectiveLines(7))).Columns.Length);
        Assert.Equal(7, Fewest(35, OfPoints(15, ProjectiveLines(15))).Columns.Length);
    }

    [Fact]
    public void The_triples_of_the_steiner_system_of_nine_are_covered_by_five()
    {
        // Fulkerson, Nemhauser and Trotter, Mathematical Programming Study 2 (1974) 72: A9 has optimum 5.
        var lines = from a in Enumerable.Range(0, 9)
                    from b in Enumerable.Range(a + 1, 8 - a)
                    let c = ((6 - (a % 3) - (b % 3)) % 3) + (3 * ((6 - (a / 3) - (b / 3)) % 3))
                    where c > b
                    select new[] { a, b, c };
        int[][] triples = [.. lines];
        Assert.Equal(12, triples.Length);
        var answer = Fewest(12, OfPoints(9, triples));
        Assert.Equal((5, 5), (answer.Columns.Length, answer.LowerBound));
    }

    [Fact]
    public void Any_cover_is_as_small_as_by_trying_every_choice() => Gen.Select(Gen.Int[1, 9], Gen.Int[1, 511].Array[1, 11]).Sample(
        (rows, masks) =>
        {
            int[] columns = [.. masks.Select(mask => mask & ((1 << rows) - 1)), (1 << rows) - 1 - (masks[0] & ((1 << rows) - 1)), masks[0] & ((1 << rows) - 1)];
            var answer = Fewest(rows, [.. columns.Select(mask => Enumerable.Range(0, rows).Where(row => ((mask >> row) & 1) != 0).ToArray())]);
            var covered = answer.Columns.Aggregate(0, (all, column) => all | columns[column]);
            return covered == (1 << rows) - 1 && answer.Columns.Length == ByTrying(rows, columns) && answer.LowerBound == answer.Columns.Length;
        },
        iter: 3000);

    [Fact]
    public void Stopped_early_it_claims_no_more_than_it_knows()
    {
        var answer = Fewest(35, OfPoints(15, ProjectiveLines(15)), mostBranchings: 1);
        Assert.True(answer.LowerBound <= 7 && answer.Columns.Length >= 7, $"{answer.LowerBound} to {answer.Columns.Length}");
        Assert.Equal(1, answer.Branchings);
    }

    private static int[][] OfPoints(int points, IEnumerable<int[]> lines)
    {
        int[][] all = [.. lines];
        return [.. Enumerable.Range(0, points).Select(point => Enumerable.Range(0, all.Length).Where(line => all[line].Contains(point)).ToArray())];
    }

    private static IEnumerable<int[]> ProjectiveLines(int points) =>
        from a in Enumerable.Range(1, points)
        from b in Enumerable.Range(a + 1, points - a)
        where (a ^ b) > b
        select new[] { a - 1, b - 1, (a ^ b) - 1 };

    private static int ByTrying(int rows, int[] columns) => Enumerable.Range(0, 1 << columns.Length)
        .Where(set => Enumerable.Range(0, columns.Length).Where(i => ((set >> i) & 1) != 0).Aggregate(0, (all, i) => all | columns[i]) == (1 << rows) - 1)
        .Min(set => BitOperations.PopCount((uint)set));
}
