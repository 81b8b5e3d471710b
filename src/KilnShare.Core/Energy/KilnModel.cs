using KilnShare.Core.Cones;

namespace KilnShare.Core.Energy;

/// <summary>How finely the model goes.</summary>
/// <param name="SlabsPerLayer">Slabs of each layer of the wall.</param>
/// <param name="HeatingStepSeconds">Longest step while the programme runs.</param>
/// <param name="CoolingStepSeconds">Longest step afterwards.</param>
public sealed record KilnModelOptions(int SlabsPerLayer = 24, double HeatingStepSeconds = 30, double CoolingStepSeconds = 180)
{
    /// <summary>How a jacket's coefficient follows from its temperature and the room's, W/(m²·K).</summary>
    internal Func<double, double, double> OuterCoefficient { get; init; } = OuterFace.CoefficientWPerM2K;

    /// <summary>Heat that leaves by lid seam and peepholes, W for each degree above the room: about 1.2 m³ of room air an hour.</summary>
    /// <remarks>Source: derived: what five published metered firings take beyond wall and load. Accuracy: half of it or twice.</remarks>
    internal double OpeningsWPerK { get; init; } = 0.4;
}

/// <summary>
/// Heat in a kiln: one temperature for chamber, ware, furniture and hot face, behind it one-dimensional conduction through the wall, at the
/// jacket convection and radiation. Elements give what the controller asks, within what they can.
/// </summary>
internal sealed class KilnModel
{
    /// <summary>Cooling is followed until here.</summary>
    private const double CooledC = 60;

    private const double LongestSeconds = 14 * 86_400;

    /// <summary>A kiln that moved less than this in half an hour towards a target it waits for does not get there.</summary>
    private const double StalledC = 1;
    private const double StalledSeconds = 1_800;

    private readonly double maxW;
    private readonly double openingsWPerK;
    private readonly KilnVent? vent;
    private readonly double roomC;
    private readonly double startC;
    private readonly WallGrid wall;
    private readonly LoadEnthalpy load;
    private readonly KilnModelOptions options;
    private readonly Controller controller;
    private readonly List<RunStep> steps = [];
    private readonly LimitWatch limits = new();
    private double seconds;
    private double hottestC;
    private double electricJ;
    private double lossJ;
    private HeatBalance balance = new(0, 0, 0, 0, 0, 0, 0);
    private (double Seconds, double Celsius) mark;

    private KilnModel(KilnHeat kiln, LoadHeat heat, double roomC, PowerProgramme programme, KilnModelOptions options)
    {
        maxW = kiln.AvailableKw * 1000;
        openingsWPerK = options.OpeningsWPerK * kiln.LossFactor;
        vent = kiln.Vent;
        (this.roomC, startC, this.options) = (roomC, programme.StartC, options);
        hottestC = startC;
        wall = new WallGrid(kiln.Wall, KilnSurface.Of(kiln.Chamber), options.SlabsPerLayer, kiln.LossFactor, startC, options.OuterCoefficient);
        load = new LoadEnthalpy(heat, startC);
        controller = new Controller(programme);
    }

    private double KilnC => wall.Celsius[0];

    /// <summary>What leaves with air in this step, W/K: by seams, and by the vent while it is open.</summary>
    private double AirWPerK => openingsWPerK + (vent?.IsOpenAt(hottestC) == true ? vent.WPerK : 0);

    /// <summary>The firing, from the start of the programme until the kiln has cooled.</summary>
    public static KilnRun Run(KilnHeat kiln, LoadHeat heat, double roomC, PowerProgramme programme, KilnModelOptions options) =>
        new KilnModel(kiln, heat, roomC, programme, options).Run();

    /// <summary>
    /// The power it takes to follow a log from its first reading to the end of its climb, step by step; below 0 where the kiln would have to be
    /// cooled.
    /// </summary>
    public static IReadOnlyList<RunStep> Follow(KilnHeat kiln, LoadHeat heat, double roomC, TemperatureHistory log, KilnModelOptions options)
    {
        var model = new KilnModel(kiln, heat, roomC, new PowerProgramme(log.Celsius[0], []), options);
        model.steps.Add(new RunStep(0, log.Celsius[0], 0));
        var (at, end) = (log.Seconds[0], log.Seconds[log.ClimbEndIndex]);
        while (at < end)
        {
            var next = Math.Min(at + options.HeatingStepSeconds, end);
            var need = model.Need(next - at);
            model.End(next - at, need.W(log.At(next)), log.At(next));
            at = next;
        }
        return model.steps;
    }

    private KilnRun Run()
    {
        steps.Add(new RunStep(0, startC, 0));
        var gaveUp = false;
        while (!controller.Done && !gaveUp)
        {
            var step = controller.Advance(KilnC, options.HeatingStepSeconds);
            if (step > 0) Step(step, controller.SetpointC);
            limits.See(seconds, controller.AsFastAsItCan ? 0 : KilnC - controller.SetpointC, controller.Rising);
            gaveUp = Stalled() || seconds > LongestSeconds;
            controller.Look(KilnC);
        }
        var programmeSeconds = seconds;
        while (KilnC > CooledC && seconds < programmeSeconds + LongestSeconds) Step(options.CoolingStepSeconds, double.NegativeInfinity);
        return new KilnRun(steps, programmeSeconds, hottestC, balance, limits.Spans(), gaveUp);
    }

    private void Step(double length, double setpointC)
    {
        var need = Need(length);
        var power = double.IsNegativeInfinity(setpointC) ? 0 : Math.Clamp(need.W(setpointC), 0, maxW);
        End(length, power, power > 0 && power < maxW ? setpointC : need.Reach(power, KilnC));
        if (power > 0) balance = BalanceNow();
    }

    private StepNeed Need(double length)
    {
        var (wallWPerK, wallW) = wall.Prepare(length, roomC);
        var capacity = wall.HeatCapacityJPerK[0];
        var before = load.TotalJ(KilnC, hottestC) + capacity * KilnC;
        return new StepNeed(load, hottestC, before, capacity, length, wallWPerK + AirWPerK, wallW + AirWPerK * roomC);
    }

    private void End(double length, double power, double reached)
    {
        lossJ += (wall.Take(reached, roomC) + AirWPerK * (reached - roomC)) * length;
        electricJ += power * length;
        seconds += length;
        hottestC = Math.Max(hottestC, reached);
        steps.Add(new RunStep(seconds, reached, power / 1000));
    }

    private bool Stalled()
    {
        if (!controller.Waiting || Math.Abs(KilnC - mark.Celsius) >= StalledC)
        {
            mark = (seconds, KilnC);
            return false;
        }
        return seconds - mark.Seconds >= StalledSeconds;
    }

    private HeatBalance BalanceNow() => new(
        electricJ, load.WareJ(KilnC), load.FurnitureJ(KilnC), wall.StoredJ(startC), lossJ, load.WaterJ(hottestC), load.ChemistryJ(hottestC));
}
