using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Studios;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

/// <summary>A problem's data know no checks: whoever asks with a start plan must have what stays of it checked.</summary>
public class KeptStartTests
{
    // The kiln may have changed since a plan was published: then it cannot stay as it is, and all of it is searched anew.
    [Theory]
    [InlineData(Keep.All, "loading.start-breaks-rules")]
    [InlineData(Keep.None, null)]
    public void A_firing_whose_plan_breaks_a_rule_cannot_be_kept_as_it_is(Keep keep, string? code)
    {
        var plan = Solve(RoundKiln([Piece("mug", Circle(90), 110, 2)]), 5);
        var at = plan.Shelves[0].Placements[0];
        var place = new CopyPlace(0, at.X, at.Y, 0, 0, false, CoreDisc.Of(Circle(90), at.X, at.Y, 0));
        var frozen = new FrozenCopy("mug", null, new Id<Member>(Guid.NewGuid()), Circle(90), Mm(110), null, true, null);
        List<HeldCopy> both = [.. new[] { 1, 2 }.Select(n => new HeldCopy(new Id<Booking>(Guid.NewGuid()), default, n, frozen, place))];
        var room = new FiringRoom(
            new FiringAim(FiringKind.Glaze, default, default, default), new KilnMaking("round", RoundChamber, UsualSpacing), RoundFurniture, default, both,
            [.. plan.Shelves.Select(s => s with { Placements = [] })], plan.Posts, 1);

        Assert.Equal(code, room.Problem([], keep).Refusal?.Code);
    }
}
