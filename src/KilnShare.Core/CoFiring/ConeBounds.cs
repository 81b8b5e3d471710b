using KilnShare.Core.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Core.CoFiring;

/// <summary>What a range of cones belongs to.</summary>
internal enum BoundOf
{
    Body,
    Bisque,
    RawLayer,
    FiredLayer,
}

/// <summary>A range that a kind of firing must keep to for a piece.</summary>
/// <param name="Of">What the range belongs to.</param>
/// <param name="Layer">The layer, where it is one's.</param>
/// <param name="Range">The range.</param>
/// <param name="CountsBelow">Its lower end binds.</param>
/// <param name="CountsAbove">Its upper end binds.</param>
internal readonly record struct ConeBound(BoundOf Of, Layer? Layer, ConeRange Range, bool CountsBelow, bool CountsAbove = true)
{
    /// <summary>The range may be compared with a firing read by that series: both ends are alike in it.</summary>
    public bool IsComparable(ConeSeries firing) => Range.IsReadBy(firing);

    /// <summary>The cones it allows.</summary>
    public ConeSpan Span => new(CountsBelow ? Range.From.Order : ConeSpan.All.First, CountsAbove ? Range.To.Order : ConeSpan.All.Last);

    public string Name => Layer is null ? "" : Layer.Glaze.Name;
}

/// <summary>Cones by their place in the order, both ends included; empty when the first is above the last.</summary>
internal readonly record struct ConeSpan(int First, int Last)
{
    public static ConeSpan All => new(0, Cone.All.Count - 1);

    public static ConeSpan None => new(0, -1);

    public bool IsEmpty => First > Last;

    public ConeSpan And(ConeSpan other) => new(Math.Max(First, other.First), Math.Min(Last, other.Last));

    public Cone Nearest(Cone cone) => Cone.At(Math.Clamp(cone.Order, First, Last));

    public ConeRange? ToRange() => IsEmpty ? null : new ConeRange(Cone.At(First), Cone.At(Last));
}

/// <summary>Which ranges count in which kind of firing, and where they meet.</summary>
internal static class ConeBounds
{
    /// <summary>
    /// The top of the body's range in every kind, its bottom where the body is to mature; the bisque range in a bisque;
    /// the range of layers not yet fired, and the top of those fired, which above it would melt again too far; not the top of underglaze and
    /// engobe that stay put.
    /// </summary>
    public static ConeBound[] Of(FiringKind kind, Ware ware)
    {
        var bounds = new List<ConeBound>(2 + ware.Layers.Count);
        if (ware.Clay.Cones is { } body) bounds.Add(new ConeBound(BoundOf.Body, null, body, kind is FiringKind.Glaze or FiringKind.SingleFire));
        if (kind == FiringKind.Bisque && ware.Clay.BisqueCones is { } bisque)
            bounds.Add(new ConeBound(BoundOf.Bisque, null, bisque, true));
        foreach (var layer in ware.Layers)
        {
            if (layer.Glaze.Cones is { } range)
                bounds.Add(new ConeBound(
                    layer.IsRaw ? BoundOf.RawLayer : BoundOf.FiredLayer, layer, range, layer.IsRaw, !Rules.Overfired.StaysUnderGlaze(layer.Glaze)));
        }
        return [.. bounds];
    }

    /// <summary>The cones above none of them; none when one of them is of another series and so cannot be compared.</summary>
    public static ConeSpan NotAbove(ConeSeries series, ReadOnlySpan<ConeBound> bounds)
    {
        var span = ConeSpan.All;
        foreach (var bound in bounds)
        {
            if (!bound.IsComparable(series)) return ConeSpan.None;
            if (bound.CountsAbove) span = span.And(new ConeSpan(0, bound.Range.To.Order));
        }
        return span;
    }

    /// <summary>Where all of them meet; none when one of them is of another series and so cannot be compared.</summary>
    public static ConeSpan Window(ConeSeries series, ReadOnlySpan<ConeBound> bounds)
    {
        var window = ConeSpan.All;
        foreach (var bound in bounds)
        {
            if (!bound.IsComparable(series)) return ConeSpan.None;
            window = window.And(bound.Span);
        }
        return window;
    }
}
