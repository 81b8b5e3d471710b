using CsCheck;
using KilnShare.Core.CoFiring;

namespace KilnShare.Core.Tests.CoFiring;

/// <summary>The cures of every rule, not only of those that chance makes speak: each load holds the planted fault of one, among ware of any sort.</summary>
public sealed class EveryRuleCureTests
{
    private static readonly RuleCase[] Cases = [.. RuleCases.All];

    [Fact]
    public void After_a_cure_its_rule_is_silent_and_nothing_is_worse_whatever_the_rule()
    {
        var (spoke, cured) = (new HashSet<string>(StringComparer.Ordinal), new HashSet<string>(StringComparer.Ordinal));
        Gen.Select(Gen.Int[0, Cases.Length - 1], RandomLoads.Pieces(0, 3)).Sample(
            (number, others) =>
            {
                var (fault, pieces) = (Cases[number], Among(Cases[number], others));
                foreach (var finding in CoFiringCheck.Check(fault.Firing, pieces, fault.Evidence).Findings())
                {
                    lock (spoke) spoke.Add(finding.Rule);
                    foreach (var cure in finding.Cures)
                    {
                        lock (spoke) cured.Add(finding.Rule);
                        if (!CoFiringPropertyTests.Holds(cure, finding, fault.Firing, pieces, fault.Evidence)) return false;
                    }
                }

                return true;
            },
            iter: 3000, print: load => Print(Cases[load.Item1], Among(Cases[load.Item1], load.Item2)));
        Assert.Empty(CoFiringRules.All.Select(rule => rule.Name).Except(spoke));
        Assert.True(cured.Count >= 20, $"Only {cured.Count} rules offered a cure: {string.Join(", ", cured)}");
    }

    private static Ware[] Among(RuleCase fault, Ware[] others) => [.. fault.Faulty, .. others.Select((ware, i) => ware with { Id = $"other{i}" })];

    private static string Print(RuleCase fault, Ware[] pieces) =>
        $"{fault}\n{fault.Firing}\n{string.Join('\n', pieces.Select(piece => $"{piece} [{string.Join("; ", piece.Layers)}]"))}\n"
        + string.Join('\n', CoFiringCheck.Check(fault.Firing, pieces, fault.Evidence).Findings().SelectMany(finding => finding.Cures.Select(cure =>
            $"{finding.Rule} {finding.Verdict} [{string.Join(',', finding.Pieces)}] {cure}: "
                + $"{CoFiringPropertyTests.Holds(cure, finding, fault.Firing, pieces, fault.Evidence)}")));
}
