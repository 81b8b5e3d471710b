using KilnShare.Core.Loading;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

/// <summary>Ware that waits and is worth more takes the place of what is worth less.</summary>
public class ExchangeTests
{
    // Of discs of 100 mm one stands on a shelf of 150 mm: a piece of weight 5, or four bowls of weight 2 on each other, which are 90 mm high; under 75 mm there is room for two.
    [Theory]
    [InlineData(100, 8)]
    [InlineData(75, 5)]
    public void A_stack_counts_for_all_that_stands_in_it_under_the_height_there_is(int heightMm, int weight)
    {
        List<LoadPiece> pieces = [Piece("alone", Circle(100), 60, 1, 5), Piece("bowl", Circle(100), 60, 4, 2, stack: new StackRule(4, Mm(10)))];
        var problem = OneShelf(Circle(150), pieces, heightMm: heightMm);
        var (options, dice) = (new LoadOptions(), new Dice(1));
        var meter = new Meter(Common.WorkBudget.OfIterations(1_000, TestContext.Current.CancellationToken));
        var setting = new Setting(problem, options, null);
        var tray = new Tray(setting.RoomOf(setting.AllDecks[0].Seats[0], [], 0, Mm(heightMm).Micrometres), setting.Distances);

        new Filling(setting, options, meter, dice).Fill([tray], new LotPool(problem), Preference.Density, 0, options.FirstRounds, 0);

        Assert.Equal(weight * Lot.WeightUnits, tray.Weight);
    }

    // The light one is too small for the heavy one to count as something that fills the hole it leaves.
    [Fact]
    public void What_waits_takes_the_place_of_what_is_worth_less()
    {
        var problem = OneShelf(Circle(150), [Piece("light", Circle(80), 60, 1, 1), Piece("heavy", Circle(110), 60, 1, 3)]);
        var (options, dice) = (new LoadOptions(), new Dice(1));
        var meter = new Meter(Common.WorkBudget.OfIterations(1_000, TestContext.Current.CancellationToken));
        var setting = new Setting(problem, options, null);
        var building = new Building(setting, options, meter, dice);
        var pool = new LotPool(problem);
        pool.Waiting[1] = 0;
        var pile = new Pile(setting.Designs[0], [], pool);
        building.Build(pile, Preference.Height, 0, options.FirstRounds);
        pool.Waiting[1] = 1;
        Assert.Equal(1 * Lot.WeightUnits, pile.Weight);

        var near = new Neighbourhood(setting, options, meter, dice, building, fromStart: false);
        var piles = Enumerable.Range(0, 8).Select(_ => near.Near(pile)).OfType<Pile>();

        Assert.Contains(piles, p => p.Weight == 3 * Lot.WeightUnits);
    }
}
