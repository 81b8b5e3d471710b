using CsCheck;
using KilnShare.Core.Costs;

namespace KilnShare.Core.Tests.Costs;

public sealed class CostSplitPropertyTests
{
    private static readonly Gen<decimal> Weight = Gen.Long[1, 9_000_000].Select(w => w / 1000m);

    private static readonly Gen<MemberUse> Use = Gen.Select(
        Gen.Long[1, 9], Weight, Weight, Weight, Gen.Long[0, 3000], Gen.Long[0, 300].Array[3],
        (pieces, footprint, volume, mass, own, levels) =>
            new MemberUse("", pieces, footprint, volume, mass, own / 1000m, levels.Select(l => l / 2m).ToArray()));

    private static readonly Gen<CostPart> Part = Gen.Select(
        Gen.Long[-5_000, 500_000], Gen.Enum<CostBasis>(), Gen.Long[0, 60_000],
        (amount, basis, energy) => new CostPart(basis.ToString(), amount, basis, basis == CostBasis.Direct ? "m0" : null, energy / 1000m));

    internal static readonly Gen<CostSplitRequest> Request = Gen.Select(
        Part.Array[1, 6], Use.Array[1, 9], Gen.Long[0, 3000], Gen.Bool, Gen.Int[0, 99],
        (parts, uses, minimum, studio, seed) => new CostSplitRequest(
            CostSplitTests.Euro, parts, uses.Select((u, i) => u with { Id = $"m{i}" }).ToArray(), $"{seed}", minimum,
            studio ? UnusedSpace.Studio : UnusedSpace.Spread, 60_000));

    [Fact]
    public void Shares_add_up_part_by_part_and_nobody_is_below_the_minimum() => Request.Sample(request =>
    {
        if (!CostSplit.Split(request).TryGet(out var answer, out var refusal))
        {
            Assert.True(refusal.Code is "costs.minimum-above-total" or "costs.all-weights-zero", refusal.Code);
            return;
        }
        Assert.Equal(request.Parts.Sum(p => p.AmountMinor), answer.TotalMinor);
        Assert.Equal(answer.TotalMinor, answer.Shares.Sum(s => s.AmountMinor));
        Assert.All(answer.Shares, s => Assert.Equal(s.AmountMinor, s.Parts.Sum(p => p.AmountMinor)));
        foreach (var name in request.Parts.Select(p => p.Name).Append("minimum").Distinct(StringComparer.Ordinal))
        {
            Assert.Equal(
                request.Parts.Where(p => string.Equals(p.Name, name, StringComparison.Ordinal)).Sum(p => p.AmountMinor),
                answer.Shares.SelectMany(s => s.Parts).Where(p => string.Equals(p.Name, name, StringComparison.Ordinal)).Sum(p => p.AmountMinor));
        }
        if (request.MinimumMinor > 0) Assert.All(
            answer.Shares.Where(s => !s.Studio), s => Assert.True(s.AmountMinor - CreditOf(s, request) >= request.MinimumMinor, "below the minimum"));
    }, iter: 1000);

    /// <summary>What a member alone is credited: a least charge does not take it away.</summary>
    private static long CreditOf(Share share, CostSplitRequest request) =>
        request.Parts.Where(p => p is { Basis: CostBasis.Direct, AmountMinor: < 0 } && p.To == share.Id).Sum(p => p.AmountMinor);

    [Fact]
    public void A_least_charge_never_swallows_a_credit() => Gen.Select(Request, Gen.Long[1, 5_000]).Sample((request, credit) =>
    {
        var credited = request with { Parts = [.. request.Parts, new CostPart("helped", -credit, CostBasis.Direct, "m0")] };
        var (without, with) = (CostSplit.Split(request), CostSplit.Split(credited));
        Assert.Equal(without.Refusal?.Code, with.Refusal?.Code);
        if (without.Refusal is null)
            Assert.Equal(without.Value.Shares.Select(s => s.Id == "m0" ? s.AmountMinor - credit : s.AmountMinor), with.Value.Shares.Select(s => s.AmountMinor));
    }, iter: 1000);

    [Fact]
    public void The_order_of_the_members_does_not_matter() => Gen.Select(Request, Gen.Int[0, 1000]).Sample((request, turn) =>
    {
        var turned = request with { Members = request.Members.OrderBy(m => (m.Id[1] * 7919 + turn * 31) % 101).ToArray() };
        var (straight, other) = (CostSplit.Split(request), CostSplit.Split(turned));
        Assert.Equal(straight.Refusal?.Code, other.Refusal?.Code);
        if (straight.Refusal is not null) return;
        Assert.Equal(
            straight.Value.Shares.OrderBy(s => s.Id, StringComparer.Ordinal).Select(s => (s.Id, s.AmountMinor)),
            other.Value.Shares.OrderBy(s => s.Id, StringComparer.Ordinal).Select(s => (s.Id, s.AmountMinor)));
    }, iter: 1000);

    [Fact]
    public void A_refund_mirrors_the_charge() => Request.Sample(request =>
    {
        var charge = CostSplit.Split(request with { MinimumMinor = 0 });
        var refund = CostSplit.Split(request with { MinimumMinor = 0, Parts = request.Parts.Select(p => p with { AmountMinor = -p.AmountMinor }).ToArray() });
        Assert.Equal(charge.Refusal?.Code, refund.Refusal?.Code);
        if (charge.Refusal is null) Assert.Equal(charge.Value.Shares.Select(s => -s.AmountMinor), refund.Value.Shares.Select(s => s.AmountMinor));
    }, iter: 1000);

    [Fact]
    public void Raising_to_the_minimum_keeps_the_others_in_proportion()
    {
        // By hand: 1000 by mass 1:3:16 is 50, 150, 800; minimum 100 leaves 900 for 3:16: 142, 758.
        var request = new CostSplitRequest(
            CostSplitTests.Euro, [new("x", 1000, CostBasis.Mass)], [new("a", MassG: 1), new("b", MassG: 3), new("c", MassG: 16)], MinimumMinor: 100);
        var answer = CostSplit.Split(request).Value;
        Assert.Equal([100, 142, 758], answer.Shares.Select(s => s.AmountMinor));
        Assert.Equal([50, -8, -42], answer.Shares.Select(s => s.Parts.Single(p => p.Name is "minimum").AmountMinor));
    }

    [Fact]
    public void Raising_goes_on_until_nobody_is_below()
    {
        // 1000 by mass 1:10:89 is 10, 100, 890; minimum 100 takes the second below (90.9 of 900), so both are raised.
        var request = new CostSplitRequest(
            CostSplitTests.Euro, [new("x", 1000, CostBasis.Mass)], [new("a", MassG: 1), new("b", MassG: 10), new("c", MassG: 89)], MinimumMinor: 100);
        Assert.Equal([100, 100, 800], CostSplit.Split(request).Value.Shares.Select(s => s.AmountMinor));
    }

    [Fact]
    public void Over_several_parts_the_rest_follows_the_shares_before()
    {
        // Shares before: 50 + 0, 450 + 0, 500 + 1000 to c; minimum 200 leaves 1800 for 450:1500 = 415.38, 1384.62.
        var request = new CostSplitRequest(
            CostSplitTests.Euro, [new("x", 1000, CostBasis.Mass), new("y", 1000, CostBasis.Direct, "c")],
            [new("a", MassG: 1), new("b", MassG: 9), new("c", MassG: 10)], MinimumMinor: 200);
        Assert.Equal([200, 415, 1385], CostSplit.Split(request).Value.Shares.Select(s => s.AmountMinor));
    }

    [Fact]
    public void With_one_part_the_rest_follows_its_weights_and_not_the_rounded_shares()
    {
        // 30 by 47:2:34:15 is 14, 1, 10, 5; the 28 left by 47:34:15 are 13.7, 9.9, 4.4; by the shares before they would be 13, 10, 5.
        var request = new CostSplitRequest(
            CostSplitTests.Euro, [new("x", 30, CostBasis.Mass)], [new("a", MassG: 47), new("b", MassG: 2), new("c", MassG: 34), new("d", MassG: 15)],
                MinimumMinor: 2);
        Assert.Equal([14, 2, 10, 4], CostSplit.Split(request).Value.Shares.Select(s => s.AmountMinor));
    }

    [Fact]
    public void A_studio_in_credit_keeps_its_credit_when_members_are_raised()
    {
        // A credit of 100 by volume leaves the studio −50, a −40, b −10; with 300 to a and 10 to b: 260, 0, −50. b is raised to 20, out of a's share.
        var request = new CostSplitRequest(
            CostSplitTests.Euro,
            [new("rebate", -100, CostBasis.Volume), new("a", 300, CostBasis.Direct, "a"), new("b", 10, CostBasis.Direct, "b")],
            [new("a", VolumeCm3: 40), new("b", VolumeCm3: 10)], "", 20, UnusedSpace.Studio, 100);
        Assert.Equal([240, 20, -50], CostSplit.Split(request).Value.Shares.Select(s => s.AmountMinor));
    }
}
