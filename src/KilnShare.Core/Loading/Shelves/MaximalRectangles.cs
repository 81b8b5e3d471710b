namespace KilnShare.Core.Loading.Shelves;

/// <summary>
/// The largest free rectangles of a part of a shelf, sides along x and y, which overlap each other
/// (Lai and Chan 1997: a free space is cut by each thing put into it, and what lies in another is dropped).
/// </summary>
internal sealed class MaximalRectangles
{
    private double least;
    private Box[] boxes = new Box[64];
    private Box[] cut = new Box[64];
    private int cuts;

    public int Count { get; private set; }

    public ref readonly Box this[int i] => ref boxes[i];

    /// <summary>All of the box is free; rectangles with a side below the least are not kept.</summary>
    public void Begin(Box all, double leastSide)
    {
        (boxes[0], Count, least) = (all, 1, leastSide);
    }

    /// <summary>Nothing may overlap this any more.</summary>
    public void TakeOut(Box taken)
    {
        cuts = 0;
        for (var i = Count - 1; i >= 0; i--)
        {
            if (!boxes[i].Overlaps(taken)) continue;
            var free = boxes[i];
            boxes[i] = boxes[--Count];
            Keep(free with { X1 = taken.X0 });
            Keep(free with { X0 = taken.X1 });
            Keep(free with { Y1 = taken.Y0 });
            Keep(free with { Y0 = taken.Y1 });
        }

        var untouched = Count;
        for (var i = 0; i < cuts; i++)
        {
            if (!IsWithinAnother(i, untouched)) Add(cut[i]);
        }
    }

    private void Keep(Box part)
    {
        if (part.X1 - part.X0 < least || part.Y1 - part.Y0 < least) return;
        if (cuts == cut.Length) Array.Resize(ref cut, 2 * cuts);
        cut[cuts++] = part;
    }

    private bool IsWithinAnother(int at, int untouched)
    {
        ref readonly var part = ref cut[at];
        for (var i = 0; i < untouched; i++)
        {
            if (boxes[i].Holds(part)) return true;
        }

        for (var i = 0; i < cuts; i++)
        {
            if (i != at && cut[i].Holds(part) && (i < at || !part.Holds(cut[i]))) return true;
        }

        return false;
    }

    private void Add(Box box)
    {
        if (Count == boxes.Length) Array.Resize(ref boxes, 2 * Count);
        boxes[Count++] = box;
    }
}

/// <summary>A rectangle with its sides along x and y, µm.</summary>
internal readonly record struct Box(double X0, double Y0, double X1, double Y1)
{
    public bool Overlaps(in Box other) => X0 < other.X1 && other.X0 < X1 && Y0 < other.Y1 && other.Y0 < Y1;

    public bool Holds(in Box other) => X0 <= other.X0 && Y0 <= other.Y0 && X1 >= other.X1 && Y1 >= other.Y1;

    public Box Grown(double by) => new(X0 - by, Y0 - by, X1 + by, Y1 + by);
}
