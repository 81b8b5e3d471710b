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
    private readonly ulong[] used;
    private readonly ulong[][] open;
    private readonly int[][] candidates;
    private readonly int[] chosen;
    private int[] best;
    private long branchings;
    private bool stopped;

    private Cover(CoverTable table, long mostBranchings, WorkBudget budget)
    {
        this.table = table;
        this.mostBranchings = mostBranchings;
        this.budget = budget;
        best = Greedy();
        used = new ulong[table.ColumnWords];
        chosen = new int[best.Length + 1];
        open = [.. chosen.Select(_ => table.AllRows())];
        candidates = [.. chosen.Select(_ => new int[table.Columns])];
    }

    /// <summary>The fewest columns found within the budget; every row is in some column.</summary>
    public static CoverAnswer Fewest(int rows, IReadOnlyList<IReadOnlyList<int>> columns, long mostBranchings, WorkBudget budget)
    {
        var search = new Cover(CoverTable.Reduced(rows, columns), mostBranchings, budget);
        var bound = search.DisjointRows(search.open[0]);
        if (bound < search.best.Length) search.Branch(0);
        var proven = search.stopped ? bound : search.best.Length;
        return new CoverAnswer([.. search.best.Select(search.table.Original)], proven, search.branchings);
    }

    private int[] Greedy()
    {
        var left = table.AllRows();
        var picked = new List<int>();
        while (Bits.Any(left))
        {
            var column = Enumerable.Range(0, table.Columns).MaxBy(c => Bits.CountBoth(left, table.RowsOf(c)));
            if (Bits.CountBoth(left, table.RowsOf(column)) == 0) throw new InvalidOperationException("A row is in no column.");
            picked.Add(column);
            Bits.Remove(left, table.RowsOf(column));
        }
        return [.. picked];
    }

    private void Branch(int depth)
    {
        var here = open[depth];
        if (!Bits.Any(here))
        {
            if (depth < best.Length) best = chosen[..depth];
            return;
        }

        if (branchings >= mostBranchings || budget.Spent(branchings)) stopped = true;
        if (stopped || depth + DisjointRows(here) >= best.Length) return;
        branchings++;
        var count = FillCandidates(here, candidates[depth]);
        for (var i = 0; i < count && !stopped; i++)
        {
            chosen[depth] = candidates[depth][i];
            here.CopyTo(open[depth + 1], 0);
            Bits.Remove(open[depth + 1], table.RowsOf(chosen[depth]));
            Branch(depth + 1);
        }
    }

    /// <summary>The columns of the row that fewest columns hold, those that hold most open rows first.</summary>
    private int FillCandidates(ulong[] here, int[] into)
    {
        var columns = table.ColumnsHolding(Tightest(here));
        for (var n = 0; n < columns.Length; n++)
        {
            var gain = Bits.CountBoth(here, table.RowsOf(columns[n]));
            var at = n;
            while (at > 0 && Bits.CountBoth(here, table.RowsOf(into[at - 1])) < gain)
            {
                into[at] = into[at - 1];
                at--;
            }
            into[at] = columns[n];
        }
        return columns.Length;
    }

    private int Tightest(ulong[] here)
    {
        foreach (var row in table.TightestFirst)
            if (Bits.Has(here, row)) return row;
        throw new InvalidOperationException("No row is open.");
    }

    /// <summary>Rows no two of which share a column: each needs a column of its own.</summary>
    private int DisjointRows(ulong[] here)
    {
        Array.Clear(used);
        var count = 0;
        foreach (var row in table.TightestFirst)
        {
            if (!Bits.Has(here, row) || Bits.Meet(used, table.ColumnsOf(row))) continue;
            Bits.Add(used, table.ColumnsOf(row));
            count++;
        }
        return count;
    }
}
