namespace KilnShare.Core.Energy;

/// <summary>Figures that a few wrong values do not move.</summary>
internal static class Robust
{
    /// <summary>The middle value; of an even number the mean of the two in the middle. There is at least one.</summary>
    public static double Median(IReadOnlyCollection<double> values)
    {
        var sorted = values.Order().ToArray();
        return (sorted[(sorted.Length - 1) / 2] + sorted[sorted.Length / 2]) / 2;
    }
}
