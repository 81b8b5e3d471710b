using System.Numerics;
using KilnShare.Core.Common;

namespace KilnShare.Core.CoFiring;

/// <summary>Which columns were chosen, and what is known of how few could be.</summary>
/// <param name="Columns">The columns chosen; together they hold every row.</param>
/// <param name="LowerBound">No cover has fewer.</param>
/// <param name="Branchings">How many times the search branched.</param>
internal readonly record struct CoverAnswer(int[] Columns, int LowerBound, long Branchings);

/// <summary>The fewest columns that hold every row, by reduction, then branch and bound.</summary>
/// <remarks>
/// Source: set covering by row and column dominance and a bound of rows that share no column, as in Balas and Ho, "Set covering algorithms
/// using cutting planes, heuristics, and subgradient optimization", Mathematical Programming Study 12 (1980) 37, in its plain combinatorial
/// parts. Where columns are the points and rows the intervals of one line the bound of disjoint rows is exact, and nothing branches.
/// </remarks>
internal sealed class Cover
{
    private readonly CoverTable table;
    private readonly long mostBranchings;
    private readonly WorkBudget budget;
    private readonly List<int> chosen = [];
    private int[] best;
    private long branchings;
    private bool stopped;

    private Cover(CoverTable table, long mostBranchings, WorkBudget budget)
    {
        this.table = table;
        this.mostBranchings = mostBranchings;
        this.budget = budget;
        best = Greedy();
    }

    /// <summary>The fewest columns found within the budget; every row is in some column.</summary>
    public static CoverAnswer Fewest(int rows, IReadOnlyList<IReadOnlyList<int>> columns, long mostBranchings, WorkBudget budget)
    {
        var search = new Cover(CoverTable.Reduced(rows, columns), mostBranchings, budget);
        var all = search.table.AllRows();
        var bound = search.DisjointRows(all);
        if (bound < search.best.Length) search.Branch(all);
        var proven = search.stopped ? bound : search.best.Length;
        return new CoverAnswer([.. search.best.Select(search.table.Original)], proven, search.branchings);
    }

    private int[] Greedy()
    {
        var open = table.AllRows();
        var picked = new List<int>();
        while (Bits.Any(open))
        {
            var column = Enumerable.Range(0, table.Columns).MaxBy(c => Bits.CountBoth(open, table.RowsOf(c)));
            if (Bits.CountBoth(open, table.RowsOf(column)) == 0) throw new InvalidOperationException("A row is in no column.");
            picked.Add(column);
            Bits.Remove(open, table.RowsOf(column));
        }
        return [.. picked];
    }

    private void Branch(ulong[] open)
    {
        if (!Bits.Any(open))
        {
            if (chosen.Count < best.Length) best = [.. chosen];
            return;
        }

        if (branchings >= mostBranchings || budget.Spent(branchings)) stopped = true;
        if (stopped || chosen.Count + DisjointRows(open) >= best.Length) return;
        branchings++;
        foreach (var column in table.ColumnsHolding(Tightest(open)).OrderByDescending(c => Bits.CountBoth(open, table.RowsOf(c))).ThenBy(c => c))
        {
            var rest = (ulong[])open.Clone();
            Bits.Remove(rest, table.RowsOf(column));
            chosen.Add(column);
            Branch(rest);
            chosen.RemoveAt(chosen.Count - 1);
            if (stopped) return;
        }
    }

    private int Tightest(ulong[] open)
    {
        foreach (var row in table.TightestFirst)
            if (Bits.Has(open, row)) return row;
        throw new InvalidOperationException("No row is open.");
    }

    /// <summary>Rows no two of which share a column: each needs a column of its own.</summary>
    private int DisjointRows(ulong[] open)
    {
        var used = new ulong[table.ColumnWords];
        var count = 0;
        foreach (var row in table.TightestFirst)
        {
            if (!Bits.Has(open, row) || Bits.Meet(used, table.ColumnsOf(row))) continue;
            Bits.Add(used, table.ColumnsOf(row));
            count++;
        }
        return count;
    }
}

/// <summary>Sets as words of bits.</summary>
internal static class Bits
{
    public static ulong[] Of(int size, IEnumerable<int> members)
    {
        var set = new ulong[(size + 63) / 64];
        foreach (var i in members) set[i >> 6] |= 1UL << (i & 63);
        return set;
    }

    public static bool Has(ulong[] set, int i) => ((set[i >> 6] >> (i & 63)) & 1) != 0;

    public static bool Any(ulong[] set) => Array.Exists(set, word => word != 0);

    public static int CountBoth(ulong[] a, ulong[] b)
    {
        var count = 0;
        for (var w = 0; w < a.Length; w++) count += BitOperations.PopCount(a[w] & b[w]);
        return count;
    }

    public static bool Meet(ulong[] a, ulong[] b)
    {
        for (var w = 0; w < a.Length; w++)
            if ((a[w] & b[w]) != 0) return true;
        return false;
    }

    public static bool IsWithin(ulong[] inner, ulong[] outer)
    {
        for (var w = 0; w < inner.Length; w++)
            if ((inner[w] & ~outer[w]) != 0) return false;
        return true;
    }

    public static void Add(ulong[] set, ulong[] others)
    {
        for (var w = 0; w < set.Length; w++) set[w] |= others[w];
    }

    public static void Remove(ulong[] set, ulong[] others)
    {
        for (var w = 0; w < set.Length; w++) set[w] &= ~others[w];
    }
}
