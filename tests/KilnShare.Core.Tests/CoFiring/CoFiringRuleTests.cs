using KilnShare.Core.CoFiring;

namespace KilnShare.Core.Tests.CoFiring;

public sealed class CoFiringRuleTests
{
    private static readonly RuleCase[] Cases = [.. RuleCases.All];

    public static TheoryData<int> Numbers => [.. Enumerable.Range(0, Cases.Length)];

    [Theory]
    [MemberData(nameof(Numbers))]
    public void A_planted_fault_is_found_and_its_absence_is_not(int number)
    {
        var fault = Cases[number];
        var found = CoFiringCheck.Check(fault.Firing, fault.Faulty, fault.Evidence).Find(fault.Rule);
        Assert.True(found is not null, $"{fault}: silent");
        Assert.Equal(fault.Verdict, found.Verdict);
        Assert.Equal(fault.Touches, found.Touches);
        Assert.Contains(found.Touches, CoFiringRules.All.Single(rule => string.Equals(rule.Name, fault.Rule, StringComparison.Ordinal)).Touches);
        var sound = CoFiringCheck.Check(fault.Sound.Firing, fault.Sound.Pieces, fault.Evidence).Find(fault.Rule);
        Assert.True(sound is null, $"{fault}: speaks of sound ware: {sound?.Message}");
    }

    [Fact]
    public void Every_rule_has_a_planted_fault() =>
        Assert.Empty(CoFiringRules.All.Select(rule => rule.Name).Except(Cases.Select(fault => fault.Rule), StringComparer.Ordinal));

    [Fact]
    public void Every_rule_has_a_kebab_case_name_of_its_own_a_source_and_a_reach()
    {
        Assert.Equal(CoFiringRules.All.Count, CoFiringRules.All.Select(rule => rule.Name).Distinct(StringComparer.Ordinal).Count());
        Assert.All(CoFiringRules.All, rule => Assert.Matches("^[a-z]+(-[a-z]+)+$", rule.Name));
        Assert.All(CoFiringRules.All, rule => Assert.False(string.IsNullOrWhiteSpace(rule.Source) || string.IsNullOrWhiteSpace(rule.NeedsToKnow)));
        Assert.All(CoFiringRules.All, rule => Assert.NotEmpty(rule.Touches));
    }

    [Theory]
    [MemberData(nameof(Numbers))]
    public void A_message_is_two_or_three_sentences_with_both_scales(int number)
    {
        var fault = Cases[number];
        foreach (var finding in CoFiringCheck.Check(fault.Firing, fault.Faulty, fault.Evidence).Findings())
        {
            Assert.EndsWith(".", finding.Message);
            Assert.True(finding.Message.Length <= 330, $"{finding.Message.Length}: {finding.Message}");
            Assert.Equal(finding.Message.Contains("°C,") || finding.Message.Contains("°C ("), finding.Message.Contains("°F"));
            Assert.DoesNotContain("food-safe", finding.Message, StringComparison.OrdinalIgnoreCase);
        }
    }
}
