namespace KilnShare.Core.CoFiring;

/// <summary>Checks a plan of groups slowly and plainly, by the rules alone and not by how it was found.</summary>
public static class FiringGroupsChecks
{
    /// <summary>What is wrong with the plan; empty when nothing is.</summary>
    public static IReadOnlyList<string> Violations(FiringGroupsProblem problem, FiringGroupsPlan plan) =>
        [.. Everybody(problem, plan), .. plan.Groups.SelectMany(group => OfGroup(problem, group)), .. Bound(plan)];

    private static IEnumerable<string> Everybody(FiringGroupsProblem problem, FiringGroupsPlan plan)
    {
        var times = plan.Groups.SelectMany(group => group.PieceIds).Concat(plan.LeftOut.Select(one => one.Id))
            .GroupBy(id => id, StringComparer.Ordinal).ToDictionary(same => same.Key, same => same.Count(), StringComparer.Ordinal);
        foreach (var piece in problem.Pieces)
        {
            if (times.GetValueOrDefault(piece.Id) != 1) yield return $"{piece.Id} is in the plan {times.GetValueOrDefault(piece.Id)} times.";
            times.Remove(piece.Id);
        }

        foreach (var id in times.Keys) yield return $"{id} is none of the pieces.";
    }

    private static IEnumerable<string> OfGroup(FiringGroupsProblem problem, FiringGroup group)
    {
        var ware = problem.Pieces.Where(piece => group.PieceIds.Contains(piece.Id, StringComparer.Ordinal)).ToArray();
        foreach (var piece in ware)
            if (piece.Route.Next?.Kind != group.Kind) yield return $"The next step of {piece.Id} is not {group.Kind}.";
        foreach (var layer in ware.SelectMany(piece => piece.Layers)
            .Where(layer => layer.IsRaw && layer.Glaze.Atmospheres?.Contains(group.Atmosphere) == false))
            yield return $"{layer.Glaze.Name} is not for {group.Atmosphere}.";
        var answer = CoFiringCheck.Check(problem.Bounds.Plan(group.Kind, group.Cone, group.Series, group.Atmosphere), ware);
        if (answer.Verdict == Verdict.Incompatible) yield return $"{group.Kind} at {group.Cone} holds what is incompatible.";
        if (answer.ConeWindow?.Holds(group.Cone) != true) yield return $"{group.Kind} at {group.Cone} is outside a range that counts.";
    }

    private static IEnumerable<string> Bound(FiringGroupsPlan plan)
    {
        if (plan.LowerBound > plan.Groups.Count) yield return $"The bound {plan.LowerBound} is above the {plan.Groups.Count} firings found.";
        if (plan.Proven != (plan.LowerBound == plan.Groups.Count)) yield return "Proven is said when bound and firings are equal, and only then.";
    }
}
