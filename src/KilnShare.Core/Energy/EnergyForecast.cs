using KilnShare.Core.Cones;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>A firing whose energy is asked for.</summary>
/// <param name="Kiln">The kiln.</param>
/// <param name="Load">What goes in.</param>
/// <param name="AmbientC">The room.</param>
/// <param name="Programme">What the controller is to do.</param>
/// <param name="Tariff">What a kWh costs; null: no cost is asked.</param>
/// <param name="StartsAt">When it starts; needed where the tariff goes by the clock.</param>
/// <param name="HalfWidthPercent">Of a learnt kiln (<see cref="LearntKiln"/>); null: unlearnt.</param>
public sealed record FiringEnergyRequest(
    KilnHeat Kiln, LoadHeat Load, double AmbientC, PowerProgramme Programme,
    Tariff? Tariff = null, Instant? StartsAt = null, double? HalfWidthPercent = null);

/// <summary>Where the energy goes until the elements last switch off, kWh.</summary>
/// <param name="WareKwh">Heat in the ware.</param>
/// <param name="FurnitureKwh">Heat in shelves and posts.</param>
/// <param name="WallsKwh">Heat in the walls.</param>
/// <param name="LossKwh">Given to the room.</param>
/// <param name="WaterKwh">Drives the water out.</param>
/// <param name="ChemistryKwh">Changes raw clay.</param>
public sealed record EnergyByPart(double WareKwh, double FurnitureKwh, double WallsKwh, double LossKwh, double WaterKwh, double ChemistryKwh)
{
    /// <summary>All parts together.</summary>
    public double SumKwh => WareKwh + FurnitureKwh + WallsKwh + LossKwh + WaterKwh + ChemistryKwh;
}

/// <summary>A point of the firing's curve.</summary>
/// <param name="AtSeconds">From the start.</param>
/// <param name="Celsius">Temperature then.</param>
/// <param name="Kw">Mean power since the point before.</param>
public readonly record struct CurvePoint(double AtSeconds, double Celsius, double Kw);

/// <summary>What a firing will take.</summary>
/// <param name="EnergyKwh">Energy from the mains.</param>
/// <param name="HalfWidthPercent">The true figure is probably within so much of it.</param>
/// <param name="Hours">Until the end of the programme, waiting for the kiln included.</param>
/// <param name="CoolingHoursTo120C">From then until 120 °C; null where it takes more than two weeks.</param>
/// <param name="CoolingHoursTo60C">Until 60 °C.</param>
/// <param name="ByPart">Adds up to the energy.</param>
/// <param name="Limited">Where the kiln cannot follow.</param>
/// <param name="PeakC">The hottest it gets.</param>
/// <param name="GaveUp">True where a target is not reached and the programme ends there.</param>
/// <param name="Curve">Heating and cooling, in few points.</param>
/// <param name="History">The same with every step of the model, for heat-work.</param>
/// <param name="Power">The power the elements take until the end of the programme, for a tariff.</param>
/// <param name="Cost">By the tariff, where one was given.</param>
/// <param name="Caution">What to mind.</param>
public sealed record EnergyForecast(
    double EnergyKwh, double HalfWidthPercent, double Hours, double? CoolingHoursTo120C, double? CoolingHoursTo60C, EnergyByPart ByPart,
    IReadOnlyList<LimitedSpan> Limited, double PeakC, bool GaveUp, IReadOnlyList<CurvePoint> Curve, TemperatureHistory History, PowerCurve Power,
    TariffCost? Cost, string Caution);

/// <summary>Power over time: constant from one moment to the next.</summary>
/// <param name="EndSeconds">Ends of the steps, rising; the first is 0 and carries no power.</param>
/// <param name="Kw">Mean power of each step.</param>
public sealed record PowerCurve(IReadOnlyList<double> EndSeconds, IReadOnlyList<double> Kw)
{
    /// <summary>Energy between two moments, kWh; none before its start and after its end.</summary>
    public double KwhBetween(double fromSeconds, double toSeconds)
    {
        var kwh = 0.0;
        for (var i = 1; i < EndSeconds.Count; i++)
        {
            var seconds = Math.Min(toSeconds, EndSeconds[i]) - Math.Max(fromSeconds, EndSeconds[i - 1]);
            if (seconds > 0) kwh += Kw[i] * seconds / 3600;
        }
        return kwh;
    }

    /// <summary>Minutes at so much power or more.</summary>
    public double MinutesAtLeast(double kw)
    {
        var seconds = 0.0;
        for (var i = 1; i < EndSeconds.Count; i++)
        {
            if (Kw[i] >= kw) seconds += EndSeconds[i] - EndSeconds[i - 1];
        }
        return seconds / 60;
    }
}
