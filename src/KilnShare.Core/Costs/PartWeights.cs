using System.Numerics;
using KilnShare.Core.Common;

namespace KilnShare.Core.Costs;

/// <summary>The weights by which one part is divided over the parties, as whole numbers; the studio, where it is a party, is the last.</summary>
internal sealed record PartWeights(BigInteger[] Weights, SplitNote? Note = null)
{
    /// <summary>The weights of each part, or why one has none. The request has passed <see cref="CostSplitRules"/>.</summary>
    public static Result<PartWeights[]> OfAll(CostSplitRequest request)
    {
        // As long as numbers come: with 2,000 members the common factor alone has 2,900 bits. They are the same for every part by that basis.
        var byLevels = new Lazy<BigInteger[]>(() => LevelHeight(request.Members), LazyThreadSafetyMode.None);
        var weights = new PartWeights[request.Parts.Count];
        for (var p = 0; p < weights.Length; p++)
        {
            if (!Of(request, p, byLevels).TryGet(out var found, out var refused)) return refused;
            weights[p] = found;
        }

        return weights;
    }

    private static Result<PartWeights> Of(CostSplitRequest request, int index, Lazy<BigInteger[]> byLevels)
    {
        var part = request.Parts[index];
        var members = request.Members;
        var weights = part.Basis switch
        {
            CostBasis.Equal => new PartWeights(members.Select(_ => BigInteger.One).ToArray()),
            CostBasis.Pieces => new PartWeights(members.Select(m => (BigInteger)m.Pieces!.Value).ToArray()),
            CostBasis.Footprint => Measured(members, m => m.FootprintCm2),
            CostBasis.Volume => Volume(request, part),
            CostBasis.Mass => Measured(members, m => m.MassG),
            CostBasis.LevelHeight => new PartWeights(byLevels.Value),
            CostBasis.Kwh => Kwh(members, part),
            _ => new PartWeights(members.Select(m => (BigInteger)(string.Equals(m.Id, part.To, StringComparison.Ordinal) ? 1 : 0)).ToArray()),
        };
        return weights.Weights.All(w => w.IsZero) ? NothingToGoBy(part, index) : weights.PaddedTo(PartyCount(request));
    }

    /// <summary>Whether the studio is a party to this part.</summary>
    public static bool HasStudio(CostSplitRequest request, CostPart part) =>
        request.UnusedSpace == UnusedSpace.Studio && part.Basis == CostBasis.Volume;

    private static int PartyCount(CostSplitRequest request) => request.Members.Count + (request.UnusedSpace == UnusedSpace.Studio ? 1 : 0);

    private PartWeights PaddedTo(int parties) =>
        parties == Weights.Length ? this : this with { Weights = [.. Weights, .. new BigInteger[parties - Weights.Length]] };

    private static PartWeights Measured(IReadOnlyList<MemberUse> members, Func<MemberUse, decimal?> measure) =>
        new(members.Select(m => Whole(measure(m)!.Value)).ToArray());

    private static PartWeights Volume(CostSplitRequest request, CostPart part)
    {
        var used = Measured(request.Members, m => m.VolumeCm3);
        if (!HasStudio(request, part)) return used;
        var sum = used.Weights.Aggregate(BigInteger.Zero, BigInteger.Add);
        var unused = Whole(request.CapacityCm3!.Value) - sum;
        return unused.Sign >= 0
            ? new PartWeights([.. used.Weights, unused])
            : new PartWeights([.. used.Weights, BigInteger.Zero], new SplitNote(
                "costs.over-capacity",
                part.Name,
                $"The ware takes {(decimal)sum / 1000} cm³, more than the capacity of {request.CapacityCm3} cm³: nothing counts as unused."));
    }

    private static BigInteger[] LevelHeight(IReadOnlyList<MemberUse> members)
    {
        var levels = Enumerable.Range(0, members[0].LevelHeightsMm!.Count)
            .Select(level => (IReadOnlyList<long>)members.Select(m => (long)(m.LevelHeightsMm![level] * 1000)).ToArray()).ToArray();
        return AirportGame.Weights(levels, members.Count);
    }

    /// <summary>Own heat + what is left of the metered energy by volume; all times the sum of volumes, to stay whole.</summary>
    private static PartWeights Kwh(IReadOnlyList<MemberUse> members, CostPart part)
    {
        var own = Measured(members, m => m.OwnHeatKwh).Weights;
        var ownSum = own.Aggregate(BigInteger.Zero, BigInteger.Add);
        var left = Whole(part.EnergyKwh!.Value) - ownSum;
        if (left.Sign < 0) return new PartWeights(own, OwnHeatIsMore(part, ownSum));
        if (left.IsZero) return new PartWeights(own);
        var volume = Measured(members, m => m.VolumeCm3).Weights;
        var volumeSum = volume.Aggregate(BigInteger.Zero, BigInteger.Add);
        return volumeSum.IsZero
            ? new PartWeights(volume)
            : new PartWeights(own.Zip(volume, (o, v) => o * volumeSum + left * v).ToArray());
    }

    private static SplitNote OwnHeatIsMore(CostPart part, BigInteger ownSum) => new(
        "costs.own-heat-above-energy",
        part.Name,
        $"The heat of the ware adds up to {(decimal)ownSum / 1000} kWh, more than the {part.EnergyKwh} kWh metered: "
        + "divided by own heat alone. Check the meter readings.");

    private static Refusal NothingToGoBy(CostPart part, int index) => Refusal.Rule(
        "costs.all-weights-zero",
        $"The part {part.Name} cannot be divided by {SplitReasons.Name(part.Basis)}: everybody has 0 of it. Take another basis, for instance equal.",
        $"/parts/{index}/basis");

    private static BigInteger Whole(decimal measured) => (BigInteger)(measured * 1000);
}
