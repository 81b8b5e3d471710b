namespace KilnShare.Core.CoFiring;

/// <summary>How bad the word of each rule is, a bit a rule: what is said of a piece can then be compared without looking at the sentences.</summary>
/// <param name="Caution">The rules that say caution or worse.</param>
/// <param name="Unknown">Those that say unknown or worse.</param>
/// <param name="Incompatible">Those that say incompatible.</param>
internal readonly record struct RuleWords(ulong Caution, ulong Unknown, ulong Incompatible)
{
    private static readonly Dictionary<string, ulong> Bits = CoFiringRules.All.Select((rule, i) => (rule.Name, Bit: 1UL << i))
        .ToDictionary(one => one.Name, one => one.Bit, StringComparer.Ordinal);

    public static RuleWords Of(IReadOnlyList<Finding> findings)
    {
        var (caution, unknown, incompatible) = (0UL, 0UL, 0UL);
        for (var i = 0; i < findings.Count; i++)
        {
            if (findings[i].Verdict == Verdict.Compatible) continue;
            var bit = Bits[findings[i].Rule];
            caution |= bit;
            if (findings[i].Verdict <= Verdict.Unknown) unknown |= bit;
            if (findings[i].Verdict == Verdict.Incompatible) incompatible |= bit;
        }

        return new RuleWords(caution, unknown, incompatible);
    }

    /// <summary>Some rule says worse than it did.</summary>
    public bool IsWorseThan(RuleWords before) =>
        ((Caution & ~before.Caution) | (Unknown & ~before.Unknown) | (Incompatible & ~before.Incompatible)) != 0;

    /// <summary>These words, and the former ones of the rules that were not asked again.</summary>
    public RuleWords Beside(RuleWords former, PieceRule[] asked)
    {
        var others = ~0UL;
        foreach (var rule in asked) others &= ~Bits[rule.Name];
        return new RuleWords(Caution | (former.Caution & others), Unknown | (former.Unknown & others), Incompatible | (former.Incompatible & others));
    }

    public bool Has(string rule) => (Caution & Bits[rule]) != 0;
}
