using KilnShare.Core.CoFiring;

namespace KilnShare.Core.Tests.CoFiring;

/// <summary>A load of which a rule must speak, and the same load with the fault taken out, of which it must not.</summary>
/// <param name="Rule">The rule's name.</param>
/// <param name="Verdict">What it must say.</param>
/// <param name="Touches">Whom it must touch.</param>
/// <param name="Firing">The firing with the fault.</param>
/// <param name="Faulty">The pieces with the fault.</param>
/// <param name="Sound">The firing and pieces without.</param>
public sealed record RuleCase(
    string Rule, Verdict Verdict, Touches Touches, FiringPlan Firing, Ware[] Faulty, (FiringPlan Firing, Ware[] Pieces) Sound)
{
    /// <summary>The studio's own outcomes, in both.</summary>
    public Evidence[] Evidence { get; init; } = [];

    public override string ToString() => $"{Rule} {Verdict}: {Faulty.Length} in {Firing.Kind} {Firing.Cone} {Firing.Atmosphere}";
}
