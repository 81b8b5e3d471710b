using KilnShare.Core.Common;

namespace KilnShare.Core.Costs;

/// <summary>What a cost split must have before it can be divided; pointers are into the body of the call.</summary>
internal static class CostSplitRules
{
    /// <summary>The first thing wrong with a request; null when there is none.</summary>
    public static Refusal? Refuse(CostSplitRequest request) =>
        Counts(request)
        ?? DuplicateId(request.Members)
        ?? First(request.Members, Member)
        ?? First(request.Parts, (part, at) => Part(request, part, at))
        ?? Space(request)
        ?? Minimum(request);

    private static Refusal? Counts(CostSplitRequest request) => request switch
    {
        { Members.Count: 0 } => Refusal.Invalid("costs.no-members", "Name at least one member who fired.", "/members"),
        { Parts.Count: 0 } => Refusal.Invalid("costs.no-parts", "Name at least one part of the cost.", "/parts"),
        { Members.Count: > CostLimits.MostMembers } =>
            Refusal.Invalid("costs.too-many-members", $"At most {CostLimits.MostMembers} members share one firing.", "/members"),
        { Parts.Count: > CostLimits.MostParts } =>
            Refusal.Invalid("costs.too-many-parts", $"At most {CostLimits.MostParts} parts make up one cost.", "/parts"),
        _ => null,
    };

    private static Refusal? DuplicateId(IReadOnlyList<MemberUse> members)
    {
        var seen = new HashSet<string>(StringComparer.Ordinal);
        return First(members, (member, at) => seen.Add(member.Id)
            ? null
            : Refusal.Rule("costs.duplicate-id", $"The member {member.Id} is named twice; add the two up.", $"/members/{at}/id"));
    }

    private static Refusal? Member(MemberUse member, int at)
    {
        var place = $"/members/{at}";
        if (member.Id.Length == 0) return Refusal.Invalid("costs.no-id", "A member needs an id.", $"{place}/id");
        return Weight(member.Pieces, $"{place}/pieces")
            ?? Weight(member.FootprintCm2, $"{place}/footprintCm2")
            ?? Weight(member.VolumeCm3, $"{place}/volumeCm3")
            ?? Weight(member.MassG, $"{place}/massG")
            ?? Weight(member.OwnHeatKwh, $"{place}/ownHeatKwh")
            ?? Levels(member.LevelHeightsMm, $"{place}/levelHeightsMm");
    }

    private static Refusal? Levels(IReadOnlyList<decimal>? heights, string place) => heights switch
    {
        null => null,
        { Count: > CostLimits.MostLevels } => Refusal.Invalid("costs.too-many-levels", $"At most {CostLimits.MostLevels} levels.", place),
        _ => First(heights, (height, level) => Weight(height, $"{place}/{level}")),
    };

    private static Refusal? Weight(decimal? measured, string place) => measured switch
    {
        null => null,
        < 0 => Refusal.Invalid("costs.below-zero", $"{measured} is below 0; a measure of ware is 0 or more.", place),
        > CostLimits.MostWeight => Refusal.Invalid("costs.too-large", $"{measured} is more than {CostLimits.MostWeight}.", place),
        { } d when d * 1000 != decimal.Truncate(d * 1000) =>
            Refusal.Invalid("costs.too-many-decimals", $"{measured} has more than {CostLimits.WeightDecimals} decimals; round it first.", place),
        _ => null,
    };

    private static Refusal? Part(CostSplitRequest request, CostPart part, int at)
    {
        var place = $"/parts/{at}";
        if (part.Name.Length == 0) return Refusal.Invalid("costs.no-name", "A part of the cost needs a name.", $"{place}/name");
        if (string.Equals(part.Name, CostLimits.MinimumPart, StringComparison.Ordinal))
            return Refusal.Rule(
                "costs.reserved-name", "The name minimum is kept for the part that raises members to it; choose another.", $"{place}/name");
        if (Int128.Abs(part.AmountMinor) > CostLimits.MostMinor)
            return Refusal.Invalid("costs.too-large", $"At most {CostLimits.MostMinor} minor units a part.", $"{place}/amountMinor");
        return Weight(part.EnergyKwh, $"{place}/energyKwh") ?? To(request, part, place) ?? Needs(request, part, place);
    }

    private static Refusal? To(CostSplitRequest request, CostPart part, string place)
    {
        if (part.Basis != CostBasis.Direct)
        {
            return part.To is null
                ? null
                : Refusal.Rule(
                    "costs.to-without-direct",
                    $"{part.Name} names {part.To} but is divided among all; leave `to` out or make the basis direct.",
                    $"{place}/to");
        }
        if (part.To is null) return Refusal.Rule("costs.to-missing", $"Say in `to` who bears {part.Name}.", $"{place}/to");
        return request.Members.Any(m => string.Equals(m.Id, part.To, StringComparison.Ordinal))
            ? null
            : Refusal.Rule("costs.unknown-member", $"{part.Name} goes to somebody who is not among the members of this firing.", $"{place}/to");
    }

    private static Refusal? Needs(CostSplitRequest request, CostPart part, string place)
    {
        var members = request.Members;
        return part.Basis switch
        {
            CostBasis.Pieces => Measured(members, part, m => m.Pieces, "pieces"),
            CostBasis.Footprint => Measured(members, part, m => m.FootprintCm2, "footprintCm2"),
            CostBasis.Volume => Measured(members, part, m => m.VolumeCm3, "volumeCm3"),
            CostBasis.Mass => Measured(members, part, m => m.MassG, "massG"),
            CostBasis.Kwh when part.EnergyKwh is null =>
                Refusal.Rule(
                    "costs.energy-missing", $"{part.Name} is divided by kWh: give the energy metered for it in energyKwh.", $"{place}/energyKwh"),
            CostBasis.Kwh => Measured(members, part, m => m.OwnHeatKwh, "ownHeatKwh")
                ?? (members.Sum(m => m.OwnHeatKwh!.Value) < part.EnergyKwh ? Measured(members, part, m => m.VolumeCm3, "volumeCm3") : null),
            CostBasis.LevelHeight => SameLevels(members, part),
            _ => null,
        };
    }

    private static Refusal? Measured(IReadOnlyList<MemberUse> members, CostPart part, Func<MemberUse, decimal?> measure, string field) =>
        First(members, (member, at) => measure(member) is not null
            ? null
            : Refusal.Rule(
                "costs.weight-missing",
                $"{part.Name} is divided by {SplitReasons.Name(part.Basis)}: give {field} of {member.Id}, 0 if there is none.",
                $"/members/{at}/{field}"));

    private static Refusal? SameLevels(IReadOnlyList<MemberUse> members, CostPart part) =>
        First(members, (member, at) =>
            member.LevelHeightsMm is null
                ? Refusal.Rule(
                    "costs.weight-missing",
                    $"{part.Name} is divided by the height of levels: give levelHeightsMm of {member.Id}.",
                    $"/members/{at}/levelHeightsMm")
                : member.LevelHeightsMm.Count == members[0].LevelHeightsMm!.Count
                    ? null
                    : Refusal.Rule(
                        "costs.levels-differ",
                        $"{member.Id} has {member.LevelHeightsMm.Count} levels and {members[0].Id} has {members[0].LevelHeightsMm!.Count}; "
                        + "write 0 where a member has nothing on a level.",
                        $"/members/{at}/levelHeightsMm"));

    private static Refusal? Space(CostSplitRequest request) =>
        request is { UnusedSpace: UnusedSpace.Studio, CapacityCm3: null }
            ? Refusal.Rule("costs.capacity-missing", "The studio pays for unused space: say in capacityCm3 how much the kiln holds.", "/capacityCm3")
            : Weight(request.CapacityCm3, "/capacityCm3");

    private static Refusal? Minimum(CostSplitRequest request)
    {
        if (request.MinimumMinor is < 0 or > CostLimits.MostMinor)
            return Refusal.Invalid("costs.minimum-out-of-range", $"The minimum is 0 to {CostLimits.MostMinor} minor units.", "/minimumMinor");
        var total = request.Parts.Where(p => !p.IsCredit).Sum(p => p.AmountMinor);
        return request.MinimumMinor == 0 || (Int128)request.MinimumMinor * request.Members.Count <= total
            ? null
            : Refusal.Rule(
                "costs.minimum-above-total",
                $"A minimum of {request.MinimumMinor} for {request.Members.Count} members is more than the total of {total}; "
                + $"at most {Math.Max(0, total / request.Members.Count)} each would work.",
                "/minimumMinor");
    }

    private static Refusal? First<T>(IReadOnlyList<T> items, Func<T, int, Refusal?> rule)
    {
        for (var i = 0; i < items.Count; i++)
        {
            if (rule(items[i], i) is { } refusal) return refusal;
        }
        return null;
    }
}
