using KilnShare.Core.Common;
using KilnShare.Core.Cones;

namespace KilnShare.Core.Energy;

/// <summary>What a firing will take: energy, time, and where the kiln falls behind.</summary>
public static class FiringEnergy
{
    private const double JoulesPerKwh = 3_600_000;

    /// <summary>At most about so many points of curve are given out.</summary>
    private const int CurvePoints = 400;

    /// <summary>The forecast of a firing by the kiln's thermal model.</summary>
    /// <remarks>
    /// Source: <see cref="KilnModel"/>. Units: kWh, hours, °C. Valid for: electric kilns, chambers of one temperature. Accuracy: as <see
    /// cref="UnlearntWidth"/> says until the kiln's own firings are learnt; parts add up to the whole within 0.1 %.
    /// </remarks>
    public static Result<EnergyForecast> Forecast(FiringEnergyRequest request)
    {
        if (FiringEnergyRules.Refuse(request) is { } refusal) return refusal;
        var run = KilnModel.Run(request.Kiln, request.Load, request.AmbientC, request.Programme, new KilnModelOptions());
        if (request.Tariff is not { } tariff) return ForecastOf(request, run, null);
        return tariff.Cost(PowerOf(run), request.StartsAt).Then<EnergyForecast>(cost => ForecastOf(request, run, cost));
    }

    /// <summary>The power the elements take over time, for a tariff.</summary>
    private static PowerCurve PowerOf(KilnRun run)
    {
        var heating = run.Steps.TakeWhile(s => s.EndSeconds <= run.ProgrammeSeconds + 1e-6).ToArray();
        return new PowerCurve(heating.Select(s => s.EndSeconds).ToArray(), heating.Select(s => s.Kw).ToArray());
    }

    private static EnergyForecast ForecastOf(FiringEnergyRequest request, KilnRun run, TariffCost? cost)
    {
        var balance = run.Balance;
        var byPart = new EnergyByPart(
            balance.Ware / JoulesPerKwh, balance.Furniture / JoulesPerKwh, balance.Walls / JoulesPerKwh,
            balance.Loss / JoulesPerKwh, balance.Water / JoulesPerKwh, balance.Chemistry / JoulesPerKwh);
        return new EnergyForecast(
            balance.Electric / JoulesPerKwh, request.HalfWidthPercent ?? UnlearntWidth.Percent(request.Kiln.Chamber), run.ProgrammeSeconds / 3600,
            run.CoolingSeconds(120) / 3600, run.CoolingSeconds(60) / 3600,
            byPart, run.Limited, run.PeakC, run.GaveUp, Thinned(run), HistoryOf(run), PowerOf(run), cost, Caution(run));
    }

    private static TemperatureHistory HistoryOf(KilnRun run) =>
        TemperatureHistory.Of([.. run.Steps.Select(s => s.EndSeconds)], [.. run.Steps.Select(s => s.Celsius)]).Value;

    private static string Caution(KilnRun run)
    {
        const string Always = "A forecast: stay near at the end of a firing, and do not open the kiln above 120 °C.";
        var behindC = run.Limited.Where(l => !l.Cooling).Select(l => l.ShortC).DefaultIfEmpty(0).Max();
        return run.GaveUp
            ? $"The kiln stops at about {run.PeakC:0} °C and does not reach the programme's target: "
                + $"check elements and supply, or fire less high. {Always}"
            : behindC > 0
                ? $"The kiln falls behind the programme by up to {behindC:0} °C; a slower rate there would be followed. {Always}"
                : Always;
    }

    /// <summary>The curve in fewer points: the power of a point is the mean since the point before, so that its area stays the energy.</summary>
    private static List<CurvePoint> Thinned(KilnRun run)
    {
        var curve = new List<CurvePoint> { new(0, run.Steps[0].Celsius, 0) };
        var least = run.Steps[^1].EndSeconds / CurvePoints;
        var (kilojoules, before) = (0.0, 0.0);
        foreach (var step in run.Steps.Skip(1))
        {
            kilojoules += step.Kw * (step.EndSeconds - before);
            before = step.EndSeconds;
            var since = step.EndSeconds - curve[^1].AtSeconds;
            if (since < least && step != run.Steps[^1] && Math.Abs(step.EndSeconds - run.ProgrammeSeconds) > 1e-6) continue;
            curve.Add(new CurvePoint(step.EndSeconds, step.Celsius, kilojoules / since));
            kilojoules = 0;
        }
        return curve;
    }
}
