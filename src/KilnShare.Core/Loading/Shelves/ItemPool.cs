namespace KilnShare.Core.Loading.Shelves;

/// <summary>Ware prepared, with how many copies of each still wait for a place.</summary>
internal sealed class ItemPool
{
    public ItemPool(LoadProblem problem)
    {
        var groups = problem.Pieces.Select(p => p.Group).Where(g => g is not null).Distinct(StringComparer.Ordinal).ToList();
        All = [.. problem.Pieces.Select((p, i) => new Item(i, p, groups.IndexOf(p.Group)))];
        Waiting = [.. problem.Pieces.Select(p => p.Quantity)];
    }

    private ItemPool(ItemPool other)
    {
        All = other.All;
        Waiting = [.. other.Waiting];
    }

    public Item[] All { get; }

    /// <summary>Copies without a place, by piece.</summary>
    public int[] Waiting { get; }

    public bool IsEmpty => Array.TrueForAll(Waiting, w => w == 0);

    /// <summary>Area of what waits, µm².</summary>
    public double WaitingArea => All.Sum(w => w.Shape.Area * Waiting[w.Index]);

    /// <summary>Height of the lowest that waits, µm; very high when nothing does.</summary>
    public long LowestWaiting => All.Where(w => Waiting[w.Index] > 0).Select(w => w.Height).DefaultIfEmpty(LoadLimits.MaxLengthMicrometres).Min();

    /// <summary>Height of the tallest that waits and is no taller than the clear height; 0 when none does, µm.</summary>
    public long TallestWaiting(long clearHeight) =>
        All.Where(w => Waiting[w.Index] > 0 && w.Height <= clearHeight).Select(w => w.Height).DefaultIfEmpty(0).Max();

    public ItemPool Copy() => new(this);
}
