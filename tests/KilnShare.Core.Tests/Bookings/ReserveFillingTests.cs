using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;

namespace KilnShare.Core.Tests.Bookings;

/// <summary>Which piece stands in which room that was kept. Checked against plane geometry that anyone can draw.</summary>
public sealed class ReserveFillingTests
{
    private static readonly Id<Member> Potter = new(new Guid("00000000-0000-0000-0000-000000000001"));
    private static readonly Id<Booking> Reserve = new(new Guid("00000000-0000-0000-0000-000000000002"));
    private static readonly Id<Booking> Booking = new(new Guid("00000000-0000-0000-0000-000000000003"));

    public static TheoryData<Footprint, Footprint, bool, bool> Fits => new()
    {
        { Round(100), Round(100), false, true },
        { Round(100), new Footprint.Circle(new Length(100_001)), false, false },
        { Box(120, 80), Box(80, 120), true, true }, // a quarter turn
        { Box(120, 80), Box(80, 120), false, false },
        { Box(120, 80), Round(80), false, true },
        { Box(120, 80), Round(81), false, false },
        { Round(100), Box(60, 80), false, true }, // 3-4-5: the diagonal of 60 x 80 is 100
        { Round(100), Box(61, 80), true, false },
        { new Footprint.HalfCircle(Length.OfMm(200)), new Footprint.HalfCircle(Length.OfMm(200)), false, true },
        { new Footprint.Octagon(Length.OfMm(100)), Round(100), false, true }, // the inscribed disc is as wide as the flats are apart
        { Polygon((-30, 0), (30, 0), (0, 60)), Polygon((-30, 0), (30, 0), (0, 60)), true, true },
        { Polygon((-50, -50), (50, -50), (50, 0), (0, 0), (0, 50), (-50, 50)), Box(90, 90), true, false }, // an angle piece has a corner missing
    };

    [Theory]
    [MemberData(nameof(Fits))]
    public void A_piece_stands_in_the_room_where_its_outline_lies_inside(Footprint room, Footprint piece, bool mayTurn, bool fits)
    {
        var filling = ReserveFilling.Of([Kept(room, 100, 0)], [Wanted(piece, 100, 0, mayTurn)]);
        Assert.Equal(fits ? 1 : 0, filling.InPlace.Count);
        Assert.Equal(fits ? 0 : 1, filling.Others.Count);
        Assert.Single(filling.GivenUp);
    }

    [Fact]
    public void A_higher_piece_is_found_room_elsewhere_and_its_room_makes_way() =>
        Assert.Single(ReserveFilling.Of([Kept(Round(100), 100, 0)], [Wanted(Round(60), 101, 0)]).Others);

    [Fact]
    public void Each_piece_takes_the_smallest_room_that_holds_it()
    {
        var filling = ReserveFilling.Of([Kept(Round(200), 200, 0), Kept(Round(100), 100, 1)], [Wanted(Round(90), 90, 0), Wanted(Round(150), 90, 1)]);
        Assert.Equal(2, filling.InPlace.Count);
        Assert.Equal([1, 0], filling.InPlace.Select(c => c.Place!.ShelfNo == 0 ? 1 : 0));
    }

    [Fact]
    public void More_pieces_than_room_give_up_no_more_than_there_is_and_fewer_leave_the_rest()
    {
        HeldCopy[] kept = [Kept(Round(100), 100, 0), Kept(Round(90), 100, 1), Kept(Round(80), 100, 2)];
        Assert.Equal(3, ReserveFilling.Of(kept, [.. Enumerable.Range(0, 5).Select(i => Wanted(Round(80), 100, i))]).GivenUp.Count);
        Assert.Equal(2, Assert.Single(ReserveFilling.Of(kept, [Wanted(Round(70), 50, 0)]).GivenUp).Copy); // the smallest
    }

    private static HeldCopy Kept(Footprint footprint, int heightMm, int copy)
    {
        var place = new CopyPlace(copy, Length.Zero, Length.Zero, 0, 0, false, CoreDisc.Of(footprint, Length.Zero, Length.Zero, 0));
        return new HeldCopy(Reserve, default, copy, Size(footprint, heightMm, true), place);
    }

    private static HeldCopy Wanted(Footprint footprint, int heightMm, int copy, bool mayTurn = true) =>
        new(Booking, default, copy, Size(footprint, heightMm, mayTurn), null);

    private static FrozenCopy Size(Footprint footprint, int heightMm, bool mayTurn) =>
        new("cylinder", null, Potter, footprint, Length.OfMm(heightMm), null, mayTurn, null);

    private static Footprint.Circle Round(int mm) => new(Length.OfMm(mm));

    private static Footprint.Rectangle Box(int width, int depth) => new(Length.OfMm(width), Length.OfMm(depth));

    private static Footprint.Polygon Polygon(params (int X, int Y)[] mm) => new([.. mm.Select(p => new PlanPoint(p.X * 1000, p.Y * 1000))]);
}
