namespace KilnShare.Core.CoFiring;

/// <summary>Rows and columns of a cover that matter: no column within another, no row held by every column that holds another.</summary>
internal sealed class CoverTable
{
    private readonly int[] originals;
    private readonly ulong[][] rowsOf;
    private readonly ulong[][] columnsOf;
    private readonly int[][] holding;
    private readonly int rows;

    private CoverTable(int rows, int[] originals, ulong[][] rowsOf)
    {
        this.rows = rows;
        this.originals = originals;
        this.rowsOf = rowsOf;
        columnsOf = Turned(rows, rowsOf);
        holding = [.. columnsOf.Select(columns => Enumerable.Range(0, Columns).Where(column => Bits.Has(columns, column)).ToArray())];
        TightestFirst = [.. Enumerable.Range(0, rows).OrderBy(row => holding[row].Length).ThenBy(row => row)];
    }

    public int Columns => rowsOf.Length;

    public int ColumnWords => (Columns + 63) / 64;

    /// <summary>Rows that the fewest columns hold first.</summary>
    public int[] TightestFirst { get; }

    public ulong[] RowsOf(int column) => rowsOf[column];

    public ulong[] ColumnsOf(int row) => columnsOf[row];

    public int Original(int column) => originals[column];

    public ulong[] AllRows() => Bits.Of(rows, Enumerable.Range(0, rows));

    public int[] ColumnsHolding(int row) => holding[row];

    /// <summary>Takes rows and columns away in turn until none is superfluous; of equal ones the first stays.</summary>
    public static CoverTable Reduced(int rows, IReadOnlyList<IReadOnlyList<int>> columns)
    {
        int[] keptColumns = [.. Enumerable.Range(0, columns.Count)], keptRows = [.. Enumerable.Range(0, rows)];
        var sets = columns.Select(column => Bits.Of(rows, column)).ToArray();
        while (true)
        {
            var needed = Minimal(Turned(keptRows.Length, sets));
            var narrowed = sets.Select(
                column => Bits.Of(needed.Length, needed.Select((row, i) => (row, i)).Where(r => Bits.Has(column, r.row)).Select(r => r.i)))
                .ToArray();
            var useful = Maximal(narrowed);
            keptColumns = [.. useful.Select(i => keptColumns[i])];
            sets = [.. useful.Select(i => narrowed[i])];
            if (needed.Length == keptRows.Length && useful.Length == narrowed.Length) return new CoverTable(needed.Length, keptColumns, sets);
            keptRows = [.. needed.Select(i => keptRows[i])];
        }
    }

    private static ulong[][] Turned(int rows, ulong[][] sets)
    {
        var turned = new ulong[rows][];
        for (var row = 0; row < rows; row++)
        {
            turned[row] = new ulong[(sets.Length + 63) / 64];
            for (var column = 0; column < sets.Length; column++)
                if (Bits.Has(sets[column], row)) turned[row][column >> 6] |= 1UL << (column & 63);
        }
        return turned;
    }

    /// <summary>The sets that hold no other of the sets.</summary>
    private static int[] Minimal(ulong[][] sets) => [.. Enumerable.Range(0, sets.Length).Where(i => !Enumerable.Range(0, sets.Length)
        .Any(j => j != i && Bits.IsWithin(sets[j], sets[i]) && (j < i || !Bits.IsWithin(sets[i], sets[j]))))];

    /// <summary>The sets that are within no other of the sets.</summary>
    private static int[] Maximal(ulong[][] sets) => [.. Enumerable.Range(0, sets.Length).Where(i => !Enumerable.Range(0, sets.Length)
        .Any(j => j != i && Bits.IsWithin(sets[i], sets[j]) && (j < i || !Bits.IsWithin(sets[j], sets[i]))))];
}
