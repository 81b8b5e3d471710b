using KilnShare.Core.Loading.Checks;

namespace KilnShare.Core.Loading;

/// <summary>
/// Whether a plan keeps every rule, worked out slowly and obviously, apart from the search: its own geometry in real numbers,
/// distances by definition. Called in every property test and before a plan is published.
/// </summary>
public static class LoadChecks
{
    /// <summary>A distance may be short by so much, µm: the most that rounding turned corners to whole micrometres can cost.</summary>
    public const double ToleranceMicrometres = Tolerance.Micrometres;

    /// <summary>Every broken rule in words; empty when the plan is sound.</summary>
    public static IReadOnlyList<string> Violations(LoadProblem problem, LoadPlan plan)
    {
        var found = new List<string>();
        CountChecks.Find(problem, plan, found);
        if (found.Count > 0) return found;
        var scene = new Scene(problem, plan);
        ShelfChecks.Lie(scene, found);
        WareChecks.Find(scene, found);
        KeepOutChecks.Find(scene, found);
        PostChecks.Find(scene, found);
        ShelfChecks.Balance(scene, found);
        FigureChecks.Find(scene, found);
        KeptChecks.Find(problem, plan, found);
        return found;
    }
}
