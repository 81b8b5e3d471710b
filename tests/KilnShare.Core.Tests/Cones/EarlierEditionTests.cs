using KilnShare.Core.Cones;

namespace KilnShare.Core.Tests.Cones;

// The older tables are kept as test data: they show that the product answers from today's edition, and that today's edition
// stands where other work has put these cones.
public sealed class EarlierEditionTests
{
    [Fact]
    public void Large_cone_6_at_150_is_todays_1241_and_not_the_1222_of_before_1996()
    {
        // Two published sources for each figure.
        var old = PublishedTable.TestData("large-before-1996", "c_").Single(c => c is { Cone: "6", Rate: 150 });
        Assert.Equal(1222, old.Degrees);
        Assert.Equal(1241, ConeTables.At(ConeSeries.Large, Cone.Parse("6"), 150).Value.Celsius);
    }

    [Fact]
    public void Large_cones_of_both_editions_agree_within_32_degrees()
    {
        // The greatest difference is cone 014 (834 then, 807 now, at 60 °C/h); the edition of before 1996 is partly from memory.
        var compared = 0;
        foreach (var cell in PublishedTable.TestData("large-before-1996", "c_"))
        {
            if (!Cone.TryParse(cell.Cone, out var cone)) continue; // 03.5 is no longer made
            if (!ConeTables.At(ConeSeries.Large, cone, cell.Rate).TryGet(out var today, out _)) continue;
            Assert.InRange(today.Celsius - cell.Degrees, -32, 32);
            compared++;
        }
        Assert.True(compared > 60);
    }

    // Large iron-free cones are no series of the product: their columns are kept as the maker's page (2016) prints them, to hold the others against.
    [Fact]
    public void Large_iron_free_cones_stand_within_five_degrees_of_the_self_supporting_ones()
    {
        var compared = 0;
        foreach (var cell in PublishedTable.Embedded("large", "ironfree_c_"))
        {
            var small = ConeTables.At(ConeSeries.SelfSupportingIronFree, Cone.Parse(cell.Cone), cell.Rate).Value;
            Assert.InRange(small.Celsius - cell.Degrees, -1, 5);
            compared++;
        }
        Assert.Equal(26, compared);
    }

    [Fact]
    public void Large_cones_stand_within_40_degrees_of_the_1926_measurements()
    {
        // Source: Fairchild and Peters, J. Am. Ceram. Soc. 9 (1926) 701, at 150 °C/h (all but cones 1 to 14 from memory).
        // The cones have been reformulated since; the old bureau comparison of makes allows ±15 °C at the same formula.
        foreach (var cell in PublishedTable.TestData("1926", "c_").Where(c => c.Rate == 150 && Cone.TryParse(c.Cone, out _)))
            if (ConeTables.At(ConeSeries.Large, Cone.Parse(cell.Cone), 150).TryGet(out var today, out _))
                Assert.InRange(today.Celsius - cell.Degrees, -40, 40);
    }

    [Fact]
    public void Self_supporting_cones_12_to_14_stand_within_15_degrees_of_the_refractory_test_cones()
    {
        // Source: ASTM C24 cones at 150 °C/h (from memory). The two kinds are different cones; only the neighbourhood is checked.
        foreach (var cell in PublishedTable.TestData("pce", "c_").Where(c => Cone.TryParse(c.Cone, out _)))
            Assert.InRange(ConeTables.At(ConeSeries.SelfSupporting, Cone.Parse(cell.Cone), 150).Value.Celsius - cell.Degrees, -15, 15);
    }
}
