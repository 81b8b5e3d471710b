using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class RoomMakingTests
{
    private static WorkBudget Tries(long tries = 500) => WorkBudget.OfIterations(tries, TestContext.Current.CancellationToken);

    // Seven equal discs fill a round shelf of three diameters (closed form: r = R/3); an eighth fits only when one goes.
    [Fact]
    public void One_disc_of_seven_must_go_for_an_eighth_and_it_is_the_lightest()
    {
        var full = OneShelf(Circle(300.05m), [Piece("seven", Circle(100), 50, 6, 2), Piece("light", Circle(100), 50, 1, 1)]);
        var plan = Solve(full);
        Assert.Equal(13, plan.PlacedWeight);
        var more = OneShelf(Circle(300.05m), [.. full.Pieces, Piece("new", Circle(100), 50, 1, 0.5m)]);

        var made = RoomMaking.Find(
            more, plan with { Unplaced = [new UnplacedCopies("new", [0], UnplacedReason.NoPlaceFound)] }, ["new"], new LoadOptions(), Tries());

        Assert.Equal([new PinnedCopy("light", 0)], made!.Leaving);
        Assert.Equal(1, made.Weight);
        Assert.DoesNotContain(made.Plan.Unplaced, u => u.PieceId is "new");
    }

    // A strip of 300 × 100 holds three squares of 100; a plank of 200 needs two of them to go, and pinned ones never do.
    [Theory]
    [InlineData(-1, 2)]
    [InlineData(1, 0)]
    public void Two_go_where_one_is_not_enough_and_pinned_ones_stay(int pinnedCopy, int leaving)
    {
        var squares = Piece("square", Rectangle(100, 100), 50, 3);
        var plank = Piece("plank", Rectangle(200, 100), 50);
        var plan = Solve(OneShelf(Rectangle(300.03m, 100.03m), [squares]));
        Assert.Equal(3, plan.PlacedWeight);
        plan = plan with { Unplaced = [new UnplacedCopies("plank", [0], UnplacedReason.NoPlaceFound)] };
        var strip = OneShelf(Rectangle(300.03m, 100.03m), [squares, plank]);
        var middle = plan.Shelves[0].Placements.OrderBy(p => p.X).ElementAt(1).Copies[0];
        var problem = Problem(
            strip.Chamber, strip.Furniture, strip.Spacing, strip.Pieces, null, plan, Keep.Pinned, pinnedCopy < 0 ? [] : [new PinnedCopy("square", middle)]);

        var made = RoomMaking.Find(problem, plan, ["plank"], new LoadOptions(), Tries());

        Assert.Equal(leaving, made?.Leaving.Count ?? 0);
        if (made is not null) Assert.Contains(made.Plan.Shelves.SelectMany(s => s.Placements), p => p.PieceId is "plank");
    }

    [Fact]
    public void Nothing_goes_for_what_fits_and_nothing_is_claimed_without_tries()
    {
        var problem = OneShelf(Circle(300.05m), [Piece("seven", Circle(100), 50, 7), Piece("new", Circle(100), 50, 1, 0.5m)]);
        var plan = Solve(problem);

        Assert.Null(RoomMaking.Find(problem, plan, ["seven"], new LoadOptions(), Tries()));
        Assert.Null(RoomMaking.Find(problem, plan, ["new"], new LoadOptions(), Tries(0)));
        Assert.NotNull(RoomMaking.Find(problem, plan, ["new"], new LoadOptions(), Tries()));
    }
}
