namespace KilnShare.Core.Loading;

/// <summary>A piece of the problem, prepared for the search.</summary>
internal sealed class Ware
{
    /// <summary>Priorities are counted in whole ten-thousandths, so that sums are exact.</summary>
    public const long WeightUnits = 10_000;

    public Ware(int index, LoadPiece piece, int group)
    {
        Index = index;
        Piece = piece;
        Group = group;
        Shape = Shape.Of(piece.Footprint);
        Height = piece.Height.Micrometres;
        Weight = (long)(piece.Priority * WeightUnits);
        Mass = (double)(piece.MassG ?? 0);
        MostStacked = piece.Stack?.Most ?? 1;
        StackAdd = piece.Stack?.Add.Micrometres ?? 0;
    }

    public int Index { get; }

    public LoadPiece Piece { get; }

    public int Group { get; }

    public Shape Shape { get; }

    public long Height { get; }

    public long Weight { get; }

    public double Mass { get; }

    public int MostStacked { get; }

    public long StackAdd { get; }

    /// <summary>Height of a stack of so many, µm.</summary>
    public long HeightOf(int count) => Height + ((count - 1) * StackAdd);
}

/// <summary>A piece, or a stack of alike copies, in its place on a shelf.</summary>
internal sealed class Standing
{
    private PlacedShape? exact;

    public Standing(Ware ware, int count, long x, long y, int turn, IReadOnlyList<int>? kept = null)
    {
        Ware = ware;
        Count = count;
        X = x;
        Y = y;
        Turn = turn;
        Kept = kept ?? [];
        var (cos, sin) = Turning.Of(turn);
        CentreX = x + (cos * ware.Shape.CentreX) - (sin * ware.Shape.CentreY);
        CentreY = y + (sin * ware.Shape.CentreX) + (cos * ware.Shape.CentreY);
    }

    public Ware Ware { get; }

    public int Count { get; }

    /// <summary>The footprint's origin, µm.</summary>
    public long X { get; }

    public long Y { get; }

    /// <summary>Thousandths of a degree.</summary>
    public int Turn { get; }

    /// <summary>Copies that must stay here; empty where it is free to move.</summary>
    public IReadOnlyList<int> Kept { get; }

    public double CentreX { get; }

    public double CentreY { get; }

    public long Height => Ware.HeightOf(Count);

    public PlacedShape Exact => exact ??= PlacedShape.Of(Ware.Piece.Footprint, X, Y, Turn);

    public Standing WithCount(int count) => new(Ware, count, X, Y, Turn, Kept);

    /// <summary>The ware with its centre of turning there, rounded to whole micrometres.</summary>
    public static Standing At(Ware ware, int count, double centreX, double centreY, int turn)
    {
        var (cos, sin) = Turning.Of(turn);
        var (cx, cy) = (ware.Shape.CentreX, ware.Shape.CentreY);
        return new Standing(ware, count, (long)Math.Round(centreX - (cos * cx) + (sin * cy)), (long)Math.Round(centreY - (sin * cx) - (cos * cy)), turn);
    }
}

/// <summary>Ware prepared, with how many copies of each still wait for a place.</summary>
internal sealed class WarePool
{
    public WarePool(LoadProblem problem)
    {
        var groups = problem.Pieces.Select(p => p.Group).Where(g => g is not null).Distinct(StringComparer.Ordinal).ToList();
        All = [.. problem.Pieces.Select((p, i) => new Ware(i, p, groups.IndexOf(p.Group)))];
        Waiting = [.. problem.Pieces.Select(p => p.Quantity)];
    }

    private WarePool(WarePool other)
    {
        All = other.All;
        Waiting = [.. other.Waiting];
    }

    public Ware[] All { get; }

    /// <summary>Copies without a place, by piece.</summary>
    public int[] Waiting { get; }

    public bool IsEmpty => Array.TrueForAll(Waiting, w => w == 0);

    public long WaitingWeight => All.Sum(w => w.Weight * Waiting[w.Index]);

    /// <summary>Area of what waits, µm².</summary>
    public double WaitingArea => All.Sum(w => w.Shape.Area * Waiting[w.Index]);

    /// <summary>Height of the lowest that waits, µm; very high when nothing does.</summary>
    public long LowestWaiting => All.Where(w => Waiting[w.Index] > 0).Select(w => w.Height).DefaultIfEmpty(LoadLimits.MaxLengthMicrometres).Min();

    /// <summary>Height of the tallest that waits and is no taller than the room; 0 when none does, µm.</summary>
    public long TallestWaiting(long room) =>
        All.Where(w => Waiting[w.Index] > 0 && w.Height <= room).Select(w => w.Height).DefaultIfEmpty(0).Max();

    public WarePool Copy() => new(this);
}
