using KilnShare.Core.Common;

namespace KilnShare.Core.Costs;

/// <summary>A firing's cost divided among those who fired.</summary>
public static class CostSplit
{
    /// <summary>
    /// Each part by its own basis, in whole minor units; then those below the minimum are raised to it. Shares add up to the total part by
    /// part, and do not depend on the order of the members.
    /// </summary>
    public static Result<CostSplitAnswer> Split(CostSplitRequest request)
    {
        if (CostSplitRules.Refuse(request) is { } refusal) return refusal;
        return PartWeights.OfAll(request).TryGet(out var weights, out var refused) ? Divide(request, weights) : refused;
    }

    private static CostSplitAnswer Divide(CostSplitRequest request, PartWeights[] weights)
    {
        var parties = Parties(request);
        var ranks = TieOrder.Ranks(request.TieSeed, parties);
        var amounts = weights.Select((w, p) => Apportionment.Divide(request.Parts[p].AmountMinor, w.Weights, ranks)).ToArray();
        var sums = Enumerable.Range(0, parties.Count).Select(i => amounts.Sum(a => a[i])).ToArray();
        var raised = MinimumShare.Adjustments(Charges(request, sums, amounts), ChargeWeights(request, weights), request, ranks);
        var shares = parties.Select((id, i) => ShareOf(request, id, i, amounts, raised)).ToArray();
        return new CostSplitAnswer(shares, sums.Sum(), weights.Select(w => w.Note).OfType<SplitNote>().ToArray());
    }

    /// <summary>The shares before what single members are credited: a least charge that counted it in would take the credit away again.</summary>
    private static long[] Charges(CostSplitRequest request, long[] sums, long[][] amounts) => [.. sums.Select((sum, i) =>
        sum - request.Parts.Select((part, p) => part.IsCredit ? amounts[p][i] : 0).Sum())];

    private static PartWeights[] ChargeWeights(CostSplitRequest request, PartWeights[] weights) =>
        [.. weights.Where((_, p) => !request.Parts[p].IsCredit)];

    private static List<string?> Parties(CostSplitRequest request)
    {
        var ids = request.Members.Select(m => (string?)m.Id).ToList();
        if (request.UnusedSpace == UnusedSpace.Studio) ids.Add(null);
        return ids;
    }

    private static Share ShareOf(CostSplitRequest request, string? id, int party, long[][] amounts, long[]? raised)
    {
        var parts = new List<SharePart>();
        for (var p = 0; p < amounts.Length; p++)
        {
            if (TakesPart(request, request.Parts[p], id)) parts.Add(new SharePart(request.Parts[p].Name, amounts[p][party]));
        }
        if (raised is not null && raised[party] != 0) parts.Add(new SharePart(CostLimits.MinimumPart, raised[party]));
        return new Share(id, id is null, parts.Sum(p => p.AmountMinor), parts);
    }

    private static bool TakesPart(CostSplitRequest request, CostPart part, string? id) =>
        part.Basis == CostBasis.Direct ? string.Equals(part.To, id, StringComparison.Ordinal)
        : id is not null || PartWeights.HasStudio(request, part);
}
