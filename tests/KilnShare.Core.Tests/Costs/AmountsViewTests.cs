using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Studios;

namespace KilnShare.Core.Tests.Costs;

public sealed class AmountsViewTests
{
    private static readonly Id<Member> Reader = new(Guid.Parse("0193a000-0000-7000-8000-000000000001"));

    [Theory]
    [InlineData(AmountsShownTo.Technicians, Role.Owner, AmountsShown.Everything)]
    [InlineData(AmountsShownTo.Technicians, Role.Technician, AmountsShown.Everything)]
    [InlineData(AmountsShownTo.Technicians, Role.Potter, AmountsShown.OwnAndTotals)]
    [InlineData(AmountsShownTo.Technicians, Role.Viewer, AmountsShown.Nothing)]
    [InlineData(AmountsShownTo.Potters, Role.Potter, AmountsShown.Everything)]
    [InlineData(AmountsShownTo.Potters, Role.Viewer, AmountsShown.Nothing)]
    [InlineData(AmountsShownTo.Everyone, Role.Viewer, AmountsShown.Everything)]
    public void Who_reads_what_goes_by_role_and_setting(AmountsShownTo setting, Role role, AmountsShown shown) =>
        Assert.Equal(shown, AmountsView.Of(setting, role, Reader, Split(("me", 5), ("b", 6), ("c", 7))).Shown);

    [Fact]
    public void A_total_of_two_is_withheld_and_so_is_one_of_three_where_one_of_them_pays_nothing()
    {
        Assert.Equal(AmountsShown.Own, Of(Split(("me", 5), ("b", 6))).Shown);
        Assert.Equal(AmountsShown.Own, Of(Split(("b", 5), ("c", 6))).Shown);
        Assert.Equal(AmountsShown.Own, Of(Split(("me", 5), ("b", 6), ("c", 0))).Shown);
        Assert.Equal(AmountsShown.Own, Of(Split(("me", 5), ("b", 6), (null, 7))).Shown); // the studio is no member
        Assert.Equal(AmountsShown.OwnAndTotals, Of(Split(("me", 5), (null, 7))).Shown);
    }

    [Fact]
    public void Of_several_splits_of_one_cost_each_must_hide_the_others() =>
        Assert.Equal(AmountsShown.Own, Of(Split(("me", 5), ("b", 6), ("c", 7)), Split(("me", 9), ("b", 9), ("c", 0))).Shown);

    [Fact]
    public void A_part_that_one_member_bears_withholds_what_each_part_came_to_but_not_the_total()
    {
        var split = Split(("me", 5), ("b", 6), ("c", 7));
        Assert.True(Of(split).ShowsParts(split));
        var withDirect = split with { Shares = [.. split.Shares.Take(2), split.Shares[2].With("stilts", 40)] };
        Assert.Equal(AmountsShown.OwnAndTotals, Of(withDirect).Shown);
        Assert.False(Of(withDirect).ShowsParts(withDirect));
    }

    [Fact]
    public void The_studios_own_share_is_shown_only_with_everything_since_it_may_hold_one_members_discount()
    {
        Assert.False(Of(Split(("me", 5), ("b", 6), ("c", 7))).Shows(null));
        Assert.True(AmountsView.Everything.Shows(null));
        Assert.False(AmountsView.OfLines(AmountsShownTo.Technicians, Role.Viewer, Reader).Shows(Reader.ToString()));
    }

    private static AmountsView Of(params CostSplitAnswer[] splits) => AmountsView.Of(AmountsShownTo.Technicians, Role.Potter, Reader, splits);

    private static CostSplitAnswer Split(params (string? Id, long Minor)[] shares) => new(
        [.. shares.Select(s => new Share(s.Id == "me" ? Reader.ToString() : s.Id, s.Id is null, 0, []).With("energy", s.Minor))], shares.Sum(s => s.Minor), []);
}
