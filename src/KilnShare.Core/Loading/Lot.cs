namespace KilnShare.Core.Loading;

/// <summary>A piece of the problem, prepared for the search.</summary>
internal sealed class Lot
{
    /// <summary>Priorities are counted in whole ten-thousandths, so that sums are exact.</summary>
    public const long WeightUnits = 10_000;

    public Lot(int index, LoadPiece piece, int group)
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

    public Heat? Wish => Piece.Wish;

    public Shape Shape { get; }

    public long Height { get; }

    public long Weight { get; }

    public double Mass { get; }

    public int MostStacked { get; }

    public long StackAdd { get; }

    /// <summary>Height of a stack of so many, µm.</summary>
    public long HeightOf(int count) => Height + ((count - 1) * StackAdd);

    /// <summary>How many of so many copies stand on each other under that height; at least one.</summary>
    public int StackIn(long room, int copies) =>
        MostStacked < 2 || room <= Height ? 1 : (int)Math.Clamp(StackAdd == 0 ? long.MaxValue : 1 + ((room - Height) / StackAdd), 1, Math.Max(1, Math.Min(MostStacked, copies)));
}

/// <summary>A piece, or a stack of alike copies, in its place on a shelf.</summary>
internal sealed class Standing
{
    private PlacedShape? exact;

    public Standing(Lot lot, int count, long x, long y, int turn, IReadOnlyList<int>? kept = null, IReadOnlyList<int>? were = null)
    {
        Lot = lot;
        Count = count;
        X = x;
        Y = y;
        Turn = turn;
        Kept = kept ?? [];
        Were = were ?? Kept;
        var (cos, sin) = Turning.Of(turn);
        CentreX = x + (cos * lot.Shape.CentreX) - (sin * lot.Shape.CentreY);
        CentreY = y + (sin * lot.Shape.CentreX) + (cos * lot.Shape.CentreY);
    }

    public Lot Lot { get; }

    public int Count { get; }

    /// <summary>The footprint's origin, µm.</summary>
    public long X { get; }

    public long Y { get; }

    /// <summary>Thousandths of a degree.</summary>
    public int Turn { get; }

    /// <summary>Copies that must stay here; empty where it is free to move.</summary>
    public IReadOnlyList<int> Kept { get; }

    /// <summary>Copies that stood here in the start plan, those that must stay first; empty where ware has come since.</summary>
    public IReadOnlyList<int> Were { get; }

    public double CentreX { get; }

    public double CentreY { get; }

    public long Height => Lot.HeightOf(Count);

    public PlacedShape Exact => exact ??= PlacedShape.Of(Lot.Piece.Footprint, X, Y, Turn);

    public Standing WithCount(int count) => new(Lot, count, X, Y, Turn, Kept, Were);

    /// <summary>The ware with its centre of turning there, rounded to whole micrometres.</summary>
    public static Standing At(Lot lot, int count, double centreX, double centreY, int turn)
    {
        var (cos, sin) = Turning.Of(turn);
        var (cx, cy) = (lot.Shape.CentreX, lot.Shape.CentreY);
        return new Standing(lot, count, (long)Math.Round(centreX - (cos * cx) + (sin * cy)), (long)Math.Round(centreY - (sin * cx) - (cos * cy)), turn);
    }
}

/// <summary>Ware prepared, with how many copies of each still wait for a place.</summary>
internal sealed class LotPool
{
    public LotPool(LoadProblem problem)
    {
        var groups = problem.Pieces.Select(p => p.Group).Where(g => g is not null).Distinct(StringComparer.Ordinal).ToList();
        All = [.. problem.Pieces.Select((p, i) => new Lot(i, p, groups.IndexOf(p.Group)))];
        Waiting = [.. problem.Pieces.Select(p => p.Quantity)];
    }

    private LotPool(LotPool other)
    {
        All = other.All;
        Waiting = [.. other.Waiting];
    }

    public Lot[] All { get; }

    /// <summary>Copies without a place, by piece.</summary>
    public int[] Waiting { get; }

    public bool IsEmpty => Array.TrueForAll(Waiting, w => w == 0);

    /// <summary>Area of what waits, µm².</summary>
    public double WaitingArea => All.Sum(w => w.Shape.Area * Waiting[w.Index]);

    /// <summary>Height of the lowest that waits, µm; very high when nothing does.</summary>
    public long LowestWaiting => All.Where(w => Waiting[w.Index] > 0).Select(w => w.Height).DefaultIfEmpty(LoadLimits.MaxLengthMicrometres).Min();

    /// <summary>Height of the tallest that waits and is no taller than the room; 0 when none does, µm.</summary>
    public long TallestWaiting(long room) =>
        All.Where(w => Waiting[w.Index] > 0 && w.Height <= room).Select(w => w.Height).DefaultIfEmpty(0).Max();

    public LotPool Copy() => new(this);
}
