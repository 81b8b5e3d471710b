using KilnShare.Core.Common;

namespace KilnShare.Core.Costs;

/// <summary>What a studio charges, or credits, for a thing used by one member: a stilt, a catcher, a refire, a hand at unloading.</summary>
/// <param name="Name">E.g. <c>catcher</c>.</param>
/// <param name="EachMinor">Minor units for one; below 0 a credit.</param>
public sealed record Surcharge(string Name, long EachMinor);

/// <summary>How often a member used it in a firing.</summary>
/// <param name="Member">The member.</param>
/// <param name="Name">Of the surcharge.</param>
/// <param name="Count">How many.</param>
public sealed record SurchargeUse(string Member, string Name, int Count);

/// <summary>Surcharges as parts of a firing's cost.</summary>
public static class Surcharges
{
    /// <summary>One direct part a use; what is not on the list is refused.</summary>
    public static Result<IReadOnlyList<CostPart>> Parts(IReadOnlyList<Surcharge> rates, IReadOnlyList<SurchargeUse> uses)
    {
        var parts = new List<CostPart>();
        for (var i = 0; i < uses.Count; i++)
        {
            var use = uses[i];
            if (rates.FirstOrDefault(r => string.Equals(r.Name, use.Name, StringComparison.Ordinal)) is not { } rate)
                return Refusal.Rule(
                    "costs.unknown-surcharge",
                    $"The studio has no surcharge {use.Name}; add it to the studio's list first.", $"/surcharges/{i}/name");
            if (use.Count < 0)
                return Refusal.Invalid("costs.below-zero", $"{use.Count} is below 0; say how many were used.", $"/surcharges/{i}/count");
            if (use.Count > 0) parts.Add(new CostPart(use.Name, rate.EachMinor * use.Count, CostBasis.Direct, use.Member));
        }
        return parts;
    }
}
