using KilnShare.Core.Common;
using KilnShare.Core.Loading.Finishing;

namespace KilnShare.Core.Loading;

/// <summary>Whether what is to stay of a start plan can stay, and what of a start plan a search begins with.</summary>
public static class KeptStart
{
    /// <summary>The problem; or a refusal, where what is to stay of its start plan breaks a rule.</summary>
    public static Result<LoadProblem> Check(LoadProblem problem)
    {
        // A pinned copy may need others for its shelf's balance: it can stay where all of the start plan can.
        if (problem.Keep == Keep.None || LoadChecks.Violations(problem, StartPart.Of(problem, onlyKept: false)).Count == 0) return problem;
        var violations = LoadChecks.Violations(problem, StartPart.Of(problem, onlyKept: true));
        if (violations.Count == 0) return problem;
        return Refusal.Rule("loading.start-breaks-rules", $"What is to stay of the start plan breaks a rule: {violations[0]}", "/start")
            with
        { Values = new Dictionary<string, object?>(StringComparer.Ordinal) { ["violations"] = violations } };
    }

    /// <summary>All of the start plan while it is sound; else only what must stay, which is. Null where nothing is left of it.</summary>
    internal static LoadPlan? ToUse(LoadProblem problem)
    {
        if (problem.Start is null) return null;
        var kinds = problem.Furniture.Shelves.Select(s => s.Id).ToHashSet(StringComparer.Ordinal);
        if (problem.Start.Shelves.Any(s => !kinds.Contains(s.ShelfId))) return null;
        var whole = StartPart.Of(problem, onlyKept: false);
        if (problem.Keep != Keep.All && LoadChecks.Violations(problem, whole).Count > 0) whole = StartPart.Of(problem, onlyKept: true);
        return whole.Shelves.Count > 0 ? whole : null;
    }
}
