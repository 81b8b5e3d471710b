using KilnShare.Core.Loading;
using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Search;
using KilnShare.Core.Loading.Shelves;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

/// <summary>Ware that waits and is worth more takes the place of what is worth less.</summary>
public class ExchangeTests
{
    // Of discs of 100 mm one stands on a shelf of 150 mm: a piece of weight 5, or four bowls of weight 2 on each other, which are 90 mm high; under 75
    // mm there is room for two.
    [Theory]
    [InlineData(100, 8)]
    [InlineData(75, 5)]
    public void A_stack_counts_for_all_that_stands_in_it_under_the_height_there_is(int heightMm, int weight)
    {
        List<LoadPiece> pieces = [Piece("alone", Circle(100), 60, 1, 5), Piece("bowl", Circle(100), 60, 4, 2, stack: new StackRule(4, Mm(10)))];
        var problem = OneShelf(Circle(150), pieces, heightMm: heightMm);
        var context = Context(problem);
        var instance = context.Instance;
        var tray = new Tray(instance.SpaceOf(instance.Decks[0].Seats[0], [], 0, Mm(heightMm).Micrometres), instance.Distances);

        new LevelFilling(context).Fill([tray], new ItemPool(problem), Preference.Density, 0, context.Options.FirstRounds, 0);

        Assert.Equal(weight * Item.ValueUnits, tray.Value);
    }

    // The light one is too small for the heavy one to count as something that fills the hole it leaves.
    [Fact]
    public void What_waits_takes_the_place_of_what_is_worth_less()
    {
        var problem = OneShelf(Circle(150), [Piece("light", Circle(80), 60, 1, 1), Piece("heavy", Circle(110), 60, 1, 3)]);
        var context = Context(problem);
        var instance = context.Instance;
        var builder = new LevelBuilder(context);
        var pool = new ItemPool(problem);
        pool.Waiting[1] = 0;
        var plan = new PartialPlan(instance.Layouts[0], [], pool);
        builder.Build(plan, Preference.Height, 0, context.Options.FirstRounds);
        pool.Waiting[1] = 1;
        Assert.Equal(1 * Item.ValueUnits, plan.Value);

        var near = new Neighbourhood(context, builder, fromStart: false);
        var plans = Enumerable.Range(0, 8).Select(_ => near.Near(plan)).OfType<PartialPlan>();

        Assert.Contains(plans, p => p.Value == 3 * Item.ValueUnits);
    }

    private static InstanceContext Context(LoadProblem problem)
    {
        var budget = new SearchBudget(Common.WorkBudget.OfIterations(1_000, TestContext.Current.CancellationToken));
        return new InstanceContext(new LoadInstance(problem, new LoadOptions()), new LoadOptions(), budget, new SeededRandom(1));
    }
}
