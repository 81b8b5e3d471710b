using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring;

/// <summary>The series, cones and atmospheres in which a piece's next step can be done, or why there are none.</summary>
/// <param name="Kind">The kind of its next firing.</param>
/// <param name="Cones">By series and atmosphere, one bit a cone by its place in the order; a series that its ranges cannot be read by is absent.</param>
/// <param name="WhyNot">Why it cannot be fired; null where it can.</param>
internal sealed record PossibleSlots(FiringKind Kind, IReadOnlyDictionary<ConeSeries, ulong[]> Cones, string? WhyNot)
{
    private static readonly Dictionary<ConeSeries, ulong[]> Nowhere = [];

    /// <summary>Of a piece.</summary>
    /// <param name="ware">The piece.</param>
    /// <param name="bounds">What holds for every firing.</param>
    /// <param name="series">The series that a firing's cone may be of, the usual one first.</param>
    public static PossibleSlots Of(Ware ware, FiringBounds bounds, IReadOnlyList<ConeSeries> series)
    {
        if (ware.Route.Next is not { } step)
            return Without(FiringKind.Bisque, $"Nothing is left to fire: it is {ware.Stage.ToString().ToLowerInvariant()} and carries no raw layer.");
        var ranges = ConeBounds.Of(step.Kind, ware);
        ConeSeries[] readable = [.. series.Where(candidate => Array.TrueForAll(ranges, bound => bound.IsComparable(candidate)))];
        if (readable.Length == 0)
            return Without(step.Kind, "Its ranges are given in cones of different series, which are not converted: ask the makers for one of them.");
        var next = NextFiring.Of(ware, step.Kind, readable[0]);
        if (next.Window.IsEmpty) return Without(step.Kind, NoCone(ware, step.Kind));
        if (next.Atmospheres.Count == 0)
            return Without(step.Kind, "Its clay and glazes have no atmosphere in common: check their data, or change the glaze.");
        string? obstacle = null;
        var cones = new Dictionary<ConeSeries, ulong[]>();
        foreach (var one in readable) cones[one] = Search(ware, next, one, bounds, ref obstacle);
        return cones.Values.All(byAtmosphere => Array.TrueForAll(byAtmosphere, mask => mask == 0))
            ? Without(step.Kind, obstacle!)
            : new PossibleSlots(step.Kind, cones, null);
    }

    /// <summary>The cones it can be fired at, one bit each.</summary>
    public ulong At(ConeSeries series, Atmosphere atmosphere) => Cones.TryGetValue(series, out var cones) ? cones[(int)atmosphere] : 0;

    // The window is the same in every series that reads its ranges: it is a matter of their ends alone.
    private static ulong[] Search(Ware ware, NextFiring next, ConeSeries series, FiringBounds bounds, ref string? obstacle)
    {
        var cones = new ulong[Atmospheres.All.Count];
        foreach (var atmosphere in next.Atmospheres)
        {
            for (var order = next.Window.First; order <= next.Window.Last; order++)
            {
                var firing = bounds.Plan(next.Kind, Cone.At(order), series, atmosphere);
                if (firing.KilnRatedCone is { } rated && firing.Cone > rated)
                    obstacle ??= $"It needs {ConeText.With(firing.Cone, series)} at the least; no kiln here is rated beyond {ConeText.With(rated, series)}.";
                else if (Obstacle(ware, firing) is { } found) obstacle ??= found;
                else cones[(int)atmosphere] |= 1UL << order;
            }
        }

        return cones;
    }

    private static string? Obstacle(Ware ware, FiringPlan firing)
    {
        var load = new CheckedLoad(firing, [ware], EvidenceBook.None);
        foreach (var rule in CoFiringRules.OnPieces)
            foreach (var finding in rule.Look(load, 0))
                if (finding is { Verdict: Verdict.Incompatible, Touches: Touches.Kiln or Touches.Others }) return finding.Message;
        return null;
    }

    private static PossibleSlots Without(FiringKind kind, string whyNot) => new(kind, Nowhere, whyNot);

    private static string NoCone(Ware ware, FiringKind kind)
    {
        var ranges = ConeBounds.Of(kind, ware).Select(bound => (bound.Of, bound.Range) switch
        {
            (BoundOf.Body, var range) => $"{ware.Clay.Name} {(bound.CountsBelow ? $"{range.From} to " : "to ")}{range.To}",
            (BoundOf.Bisque, var range) => $"its bisque {range.From} to {range.To}",
            (BoundOf.RawLayer, var range) => $"{bound.Name} {range.From} to {range.To}",
            (_, var range) => $"{bound.Name}, fired, to {range.To}",
        });
        return $"No cone suits all of it: {string.Join("; ", ranges)}. Change the glaze or the clay, or fire it in steps.";
    }
}
