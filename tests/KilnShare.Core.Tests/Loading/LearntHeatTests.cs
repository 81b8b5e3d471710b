using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Loading;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class LearntHeatTests
{
    private static WitnessHabit Level(string name, double? differenceC, double? uncertaintyC = 1) => new(name, differenceC, uncertaintyC, 5, 0, "");

    [Fact]
    public void A_level_reaches_halfway_to_the_next_and_is_hot_or_cool_against_the_middle_of_the_kiln()
    {
        // Middle by hand: (200 × -9 + 200 × 0 + 200 × 9) / 600 = 0.
        var zones = LearntHeat.Zones(Mm(600), [(Level("a", -9), Mm(100)), (Level("b", 0), Mm(300)), (Level("c", 9), Mm(500))]);

        Assert.Equal([new HeatZone(Length.Zero, Mm(200), Heat.Cool), new HeatZone(Mm(400), Mm(600), Heat.Hot)], zones);
    }

    [Fact]
    public void What_differs_less_than_is_sure_is_neither_hot_nor_cool()
    {
        Assert.Empty(LearntHeat.Zones(Mm(600), [(Level("a", -4, 6), Mm(100)), (Level("b", 4, 6), Mm(500))]));
        // Cones of one number differ by 2 °C.
        Assert.Empty(LearntHeat.Zones(Mm(600), [(Level("a", -2, 0.1), Mm(100)), (Level("b", 2, 0.1), Mm(500))]));
        Assert.Empty(LearntHeat.Zones(Mm(600), [(Level("a", -9), Mm(100)), (Level("b", null, null), Mm(500))]));
    }

    [Fact]
    public void A_kiln_that_is_hotter_than_its_target_everywhere_has_no_hot_part() =>
        Assert.Empty(LearntHeat.Zones(Mm(600), [(Level("a", 12), Mm(100)), (Level("b", 12), Mm(500))]));

    [Fact]
    public void Levels_of_one_heat_beside_each_other_are_one_zone_and_cones_at_one_height_count_together()
    {
        // Middle by hand: (150 × -9 + 150 × -9 + 300 × 9) / 600 = 0.
        var zones = LearntHeat.Zones(
            Mm(600), [(Level("a", -9), Mm(100)), (Level("b", -9), Mm(200)), (Level("c front", 6), Mm(400)), (Level("c back", 12), Mm(400))]);

        Assert.Equal([new HeatZone(Length.Zero, Mm(300), Heat.Cool), new HeatZone(Mm(300), Mm(600), Heat.Hot)], zones);
    }

    [Fact]
    public void Levels_are_found_by_what_studios_call_them()
    {
        Assert.Equal([Mm(100), Mm(300), Mm(500)], Heights("Bottom front", "middle", "top shelf", "beside the spy hole"));
        Assert.Equal([Mm(75), Mm(225), Mm(525)], Heights("1", "shelf 2", "level 4"));
        Assert.Empty(Heights("here", "there"));
        Assert.Equal(
            [new HeatZone(Length.Zero, Mm(300), Heat.Cool), new HeatZone(Mm(300), Mm(600), Heat.Hot)],
            LearntHeat.Zones(Mm(600), [Level("bottom", -7), Level("top", 3)]));
    }

    private static List<Length> Heights(params string[] names) => [.. LearntHeat.Locate(Mm(600), [.. names.Select(n => Level(n, 0))]).Select(l => l.Height)];
}
