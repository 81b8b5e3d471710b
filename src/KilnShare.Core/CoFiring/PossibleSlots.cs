using KilnShare.Core.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Core.CoFiring;

/// <summary>The cones and atmospheres in which a piece's next step can be done, or why there are none.</summary>
/// <param name="Kind">The kind of its next firing.</param>
/// <param name="Series">The series of its cones.</param>
/// <param name="Cones">By atmosphere, one bit a cone by its place in the order.</param>
/// <param name="WhyNot">Why it cannot be fired; null where it can.</param>
internal sealed record PossibleSlots(FiringKind Kind, ConeSeries Series, ulong[] Cones, string? WhyNot)
{
    public static PossibleSlots Of(Ware ware, FiringBounds bounds, ConeSeries unnamed)
    {
        if (ware.Route.Next is not { } step)
            return Without(FiringKind.Bisque, unnamed, $"Nothing is left to fire: it is {ware.Stage.ToString().ToLowerInvariant()} and carries no raw layer.");
        var ranges = ConeBounds.Of(step.Kind, ware);
        // The usual series where all of its ranges can be read by it, so that pieces meet; else the first that can.
        ConeSeries[] readable = [.. ranges.Select(bound => bound.Range.Series).OfType<ConeSeries>().Prepend(unnamed)
            .Where(candidate => Array.TrueForAll(ranges, bound => bound.IsComparable(candidate)))];
        if (readable.Length == 0)
            return Without(step.Kind, unnamed, "Its ranges are given in cones of different series, which are not converted: ask the makers for one of them.");
        var series = readable[0];
        var next = NextFiring.Of(ware, step.Kind, series);
        if (next.Window.IsEmpty) return Without(step.Kind, series, NoCone(ware, step.Kind));
        if (next.Atmospheres.Count == 0)
            return Without(step.Kind, series, "Its clay and glazes have no atmosphere in common: check their data, or change the glaze.");
        return Search(ware, next, series, bounds);
    }

    private static PossibleSlots Search(Ware ware, NextFiring next, ConeSeries series, FiringBounds bounds)
    {
        var cones = new ulong[Atmospheres.All.Count];
        string? obstacle = null;
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

        return Array.TrueForAll(cones, mask => mask == 0) ? Without(next.Kind, series, obstacle!) : new PossibleSlots(next.Kind, series, cones, null);
    }

    private static string? Obstacle(Ware ware, FiringPlan firing)
    {
        var load = new CheckedLoad(firing, [ware], EvidenceBook.None);
        foreach (var rule in CoFiringRules.OnPieces)
            foreach (var finding in rule.Look(load, 0))
                if (finding is { Verdict: Verdict.Incompatible, Touches: Touches.Kiln or Touches.Others }) return finding.Message;
        return null;
    }

    private static PossibleSlots Without(FiringKind kind, ConeSeries series, string whyNot) => new(kind, series, [], whyNot);

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
