using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class LevelHeightsTests
{
    // Slabs as large as the shelf. The slab of 100 is worth most for its height (1.6 / 110 against 1 / 70), but beside it only one of the others
    // has room (10 + 100 + 10 + 60 = 180 of 210), while three of them fill the kiln (3 × 70 = 210): 3 against 2.6.
    [Fact]
    public void Heights_that_fit_together_are_chosen_before_the_one_that_is_worth_most_by_itself()
    {
        var problem = Problem(
            new Chamber(Rectangle(300, 300), Mm(210), Length.Zero, Length.Zero),
            new Furniture([new ShelfStock("s", Rectangle(300, 300), Mm(10), 5)], PostHeights.Any, [], Length.Zero, Length.Zero),
            new KilnSpacing(Length.Zero, Length.Zero, Length.Zero),
            [Piece("high", Rectangle(299, 299), 100, priority: 1.6m), Piece("low", Rectangle(299, 299), 60, 3)]);

        var plan = Solve(problem, 1);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.Equal(3, plan.PlacedWeight);
    }
}
