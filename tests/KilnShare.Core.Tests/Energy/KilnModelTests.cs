using CsCheck;
using KilnShare.Benchmarks.Loading;
using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Tests.Energy;

public sealed class KilnModelTests
{
    private static readonly LoadHeat Empty = new(0, 0, Stage.Bisque);

    private static readonly WallMaterial Plain = new("plain", 500, 1000, [new(20, 0.16)]);

    // The published specific heat of kaolinitic clays, 1128 + 0.102·T − 36·10⁶/T² J/(kg·K), integrated by hand.
    [Theory]
    [InlineData(20, 1000, 1089)]
    [InlineData(20, 1222, 1367)]
    public void Clay_takes_up_its_published_heat(double fromC, double toC, double kilojoules) =>
        Assert.Equal(kilojoules, (SpecificHeat.ClayJPerKg(toC) - SpecificHeat.ClayJPerKg(fromC)) / 1000, 0.5);

    [Fact]
    public void Specific_heats_are_the_slopes_of_their_integrals()
    {
        Assert.Equal(1077, SpecificHeat.ClayJPerKgK(300), 1.0);
        foreach (var celsius in new[] { 20.0, 300, 900, 1250 })
        {
            Assert.Equal(SpecificHeat.ClayJPerKgK(celsius), SpecificHeat.ClayJPerKg(celsius + 0.5) - SpecificHeat.ClayJPerKg(celsius - 0.5), 0.01);
            Assert.Equal(SpecificHeat.FurnitureJPerKgK(
                celsius), SpecificHeat.FurnitureJPerKg(celsius + 0.5) - SpecificHeat.FurnitureJPerKg(celsius - 0.5), 0.01);
        }
    }

    [Fact]
    public void A_wall_in_balance_passes_the_closed_form()
    {
        // Closed form kΔT/d: 3 in of k 0.16 between 1222 and 90 °C pass 2.38 kW/m².
        var wall = Wall(Plain, 76_200, 24, (_, _) => 1e9);
        var flux = Settle(wall, 1222, 90);
        Assert.Equal(2377, flux, 1.0);
        Assert.Equal((1222 + 90) / 2.0, wall.Celsius[12], 0.01);
    }

    [Fact]
    public void A_wall_whose_conductivity_rises_evenly_passes_that_of_its_mean_temperature()
    {
        // Closed form: for k = a + bT the flux is k at the mean of the two faces times the difference over the thickness.
        var rising = new WallMaterial("rising", 500, 1000, [new(0, 0.12), new(1500, 0.27)]);
        var flux = Settle(Wall(rising, 76_200, 24, (_, _) => 1e9), 1222, 90);
        Assert.Equal((0.12 + 1e-4 * 656) * 1132 / 0.0762, flux, 2.0);
    }

    [Fact]
    public void Layers_add_up_their_resistances_and_the_air_s()
    {
        WallLayer[] layers = [new(WallMaterial.Firebrick23 with { Conductivity = [new(0, 0.2)] }, Length.OfMm(64)), new(Plain, Length.OfMm(25))];
        var wall = new WallGrid(layers, new KilnSurface(1, 0), 8, 1, 20, (_, _) => 12);
        Assert.Equal(1180 / (0.064 / 0.2 + 0.025 / 0.16 + 1 / 12.0), Settle(wall, 1200, 20), 0.5);
    }

    [Fact]
    public void A_box_passes_its_faces_and_its_edges()
    {
        // Shape factors: A/t + 0.54 for each metre of edge + 0.15·t a corner (Langmuir, Adams and Meikle 1913); a cube of half a metre, 5 cm thick.
        var half = Length.OfMm(500);
        var surface = KilnSurface.Of(new Chamber(new Footprint.Rectangle(half, half), half, Length.Zero, Length.Zero));
        var wall = new WallGrid([new WallLayer(Plain, Length.OfMm(50))], surface, 24, 1, 20, (_, _) => 1e9);
        Assert.Equal(1, Settle(wall, 1020, 20) / (0.16 * 1000 * (1.5 / 0.05 + 0.54 * 6 + 0.15 * 8 * 0.05)), 0.01);
    }

    [Fact]
    public void A_tall_round_kiln_s_side_passes_the_closed_form_of_a_pipe()
    {
        // 2πHk·ΔT / ln(r2/r1) for the side, the two ends as plane walls with an edge of 0.54 a metre.
        var round = new Chamber(new Footprint.Circle(Length.OfMm(400)), Length.OfMm(4000), Length.Zero, Length.Zero);
        var wall = new WallGrid([new WallLayer(Plain, Length.OfMm(100))], KilnSurface.Of(round), 24, 1, 20, (_, _) => 1e9);
        var side = 2 * Math.PI * 4 / Math.Log(0.3 / 0.2);
        var ends = 2 * (Math.PI * 0.04 / 0.1 + 0.54 * Math.PI * 0.4);
        Assert.Equal(1, Settle(wall, 1020, 20) / (0.16 * 1000 * (side + ends)), 0.01);
    }

    [Fact]
    public void A_thick_wall_warms_like_a_half_space()
    {
        // Closed form: surface kept at 1000 °C above the start for an hour; T = ΔT·erfc(x / 2√(αt)), taken up 2kΔT·√(t/πα).
        var wall = Wall(Plain, 400_000, 200, (_, _) => 0);
        for (var i = 0; i < 3600; i++)
        {
            wall.Prepare(1, 20);
            wall.Take(1020, 20);
        }
        var diffusivity = 0.16 / (500 * 1000);
        var expected = 2 * 0.16 * 1000 * Math.Sqrt(3600 / (Math.PI * diffusivity));
        Assert.Equal(1, wall.StoredJ(20) / expected, 0.01);
        // erfc(0.5) = 0.47950 (Abramowitz and Stegun, table 7.1) where x = √(αt) = 0.03394 m, between nodes 16 and 17.
        var place = Math.Sqrt(diffusivity * 3600) / 0.002;
        var (at, part) = ((int)place, place - (int)place);
        Assert.Equal(20 + 479.5, wall.Celsius[at] + part * (wall.Celsius[at + 1] - wall.Celsius[at]), 3.0);
    }

    [Fact]
    public void A_body_of_one_temperature_cools_by_Newton_s_law()
    {
        // A wall that conducts at once and a coefficient of 10: T = room + ΔT·exp(−hAt/C).
        var metal = new WallMaterial("metal", 2000, 900, [new(0, 100)]);
        var run = KilnModel.Run(
            Kiln(1, [new(metal, Length.OfMm(20))]), Empty, 20, new PowerProgramme(1000, []),
            new KilnModelOptions(4, 20, 5) { OuterCoefficient = (_, _) => 10, OpeningsWPerK = 0 });
        var surface = KilnSurface.Of(Chamber585);
        var capacity = 2000 * 900 * 0.02 * (surface.AtM2(0) + surface.AtM2(0.02)) / 2;
        var rate = 10 * surface.AtM2(0.02) / capacity;
        foreach (var celsius in new[] { 700.0, 300, 120 })
            Assert.Equal(Math.Log(980 / (celsius - 20)) / rate / 3600, run.CoolingSeconds(celsius)!.Value / 3600, 0.01);
    }

    [Fact]
    public void It_is_of_second_order_in_space()
    {
        // Halving the slabs takes the error down four times: (E6 − E12) / (E12 − E24) → 4.
        double Energy(int slabs) => KilnModel.Run(
            Kiln(11.5, [new(WallMaterial.Firebrick23, Length.OfMm(76))]), Empty, 20, new PowerProgramme(20, [new(100, 1000, 30)]),
            new KilnModelOptions(slabs, 60, 3600)).Balance.Electric;
        var (coarse, middle, fine) = (Energy(12), Energy(24), Energy(48));
        Assert.InRange((coarse - middle) / (middle - fine), 3.5, 4.5);
    }

    [Fact]
    public void Energy_is_neither_lost_nor_made() => Gen.Select(
        Gen.Double[2, 20], Gen.Double[0, 60], Gen.Double[0, 40], Gen.Bool, Gen.Double[0, 20], Gen.Double[50, 400], Gen.Double[500, 1280])
        .Sample((kw, ware, furniture, green, moisture, rate, peak) =>
        {
            var load = new LoadHeat(ware, furniture, green ? Stage.Greenware : Stage.Bisque, moisture);
            var programme = new PowerProgramme(15, [new(60, 110, 60), new(rate, peak, 20), new(80, peak - 200, 0)]);
            var run = KilnModel.Run(Kiln(kw, Brick), load, 15, programme, new KilnModelOptions());
            var b = run.Balance;
            Assert.Equal(1, (b.Ware + b.Furniture + b.Walls + b.Loss + b.Water + b.Chemistry) / b.Electric, 1e-6);
            var area = run.Steps.Skip(1).Zip(run.Steps, (now, before) => now.Kw * (now.EndSeconds - before.EndSeconds)).Sum();
            Assert.Equal(1, area * 1000 / b.Electric, 1e-9);
            Assert.All(run.Steps, s => Assert.InRange(s.Kw, 0, kw + 1e-9));
        }, iter: 30);

    [Fact]
    public void A_forecast_takes_less_than_20_ms_of_processor()
    {
        var request = new FiringEnergyRequest(
            Kiln(11.5, Brick), new LoadHeat(40, 25, Stage.Bisque), 15, new PowerProgramme(15, [new(100, 600, 0), new(150, 1222, 15)]));
        var clock = new CpuClock();
        var times = Enumerable.Range(0, 41).Select(_ =>
        {
            var start = clock.GetTimestamp();
            FiringEnergy.Forecast(request);
            return clock.GetElapsedTime(start).TotalMilliseconds;
        }).Order().ToArray();
        Assert.True(times[20] < 20, $"median {times[20]:0.0} ms");
        TestContext.Current.TestOutputHelper?.WriteLine($"median {times[20]:0.0} ms");
    }

    internal static readonly Chamber Chamber585 = new(new Footprint.Circle(Length.OfMm(585)), Length.OfMm(685), Length.OfMm(25), Length.OfMm(12));

    internal static readonly WallLayer[] Brick = [new(WallMaterial.Firebrick23, Length.OfMm(76))];

    internal static KilnHeat Kiln(double kw, IReadOnlyList<WallLayer> wall) => new(Chamber585, kw, wall);

    private static WallGrid Wall(WallMaterial material, long micrometres, int slabs, Func<double, double, double> outer) =>
        new([new WallLayer(material, new Length(micrometres))], new KilnSurface(1, 0), slabs, 1, 20, outer);

    private static double Settle(WallGrid wall, double hotC, double roomC)
    {
        var flux = 0.0;
        for (var i = 0; i < 2000; i++)
        {
            wall.Prepare(600, roomC);
            flux = wall.Take(hotC, roomC);
        }
        return flux;
    }
}
