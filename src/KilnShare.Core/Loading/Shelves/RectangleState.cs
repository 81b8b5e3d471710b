namespace KilnShare.Core.Loading.Shelves;

/// <summary>Rectangles on a shelf, and how many of each ware wait.</summary>
internal sealed class RectangleState
{
    public RectangleState(int[] waiting)
    {
        Waiting = waiting;
        (Boxes, Items, Turned) = (new Box[64], new int[64], new bool[64]);
    }

    public int[] Waiting { get; }

    public Box[] Boxes { get; private set; }

    public int[] Items { get; private set; }

    public bool[] Turned { get; private set; }

    public int Count { get; private set; }

    public double Value { get; private set; }

    public bool Holds(int item) => Array.IndexOf(Items, item, 0, Count) >= 0;

    public RectangleState Copy()
    {
        var copy = new RectangleState([.. Waiting]);
        copy.Take(this);
        return copy;
    }

    /// <summary>Becomes what the other is.</summary>
    public void Take(RectangleState other)
    {
        if (Boxes.Length < other.Count) Grow(other.Boxes.Length);
        Array.Copy(other.Waiting, Waiting, Waiting.Length);
        Array.Copy(other.Boxes, Boxes, other.Count);
        Array.Copy(other.Items, Items, other.Count);
        Array.Copy(other.Turned, Turned, other.Count);
        (Count, Value) = (other.Count, other.Value);
    }

    public void Add(int item, Box box, bool turned, double value)
    {
        if (Count == Boxes.Length) Grow(2 * Count);
        (Boxes[Count], Items[Count], Turned[Count]) = (box, item, turned);
        Count++;
        Value += value;
    }

    public void RemoveAt(int i, double value)
    {
        Waiting[Items[i]]++;
        Count--;
        (Boxes[i], Items[i], Turned[i]) = (Boxes[Count], Items[Count], Turned[Count]);
        Value -= value;
    }

    private void Grow(int length)
    {
        var (boxes, items, turned) = (Boxes, Items, Turned);
        Array.Resize(ref boxes, length);
        Array.Resize(ref items, length);
        Array.Resize(ref turned, length);
        (Boxes, Items, Turned) = (boxes, items, turned);
    }
}
