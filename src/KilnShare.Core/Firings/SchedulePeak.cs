using KilnShare.Core.Common;
using KilnShare.Core.Cones;

namespace KilnShare.Core.Firings;

/// <summary>The way back from a cone to a schedule: which peak, or which hold, just brings it down.</summary>
public static class SchedulePeak
{
    // A climb so long that what came before it no longer counts.
    private const double ClimbC = 400;

    private const double HighestPeakC = 1450;
    private const int Halvings = 60;
    private const double SecondsPerMinute = 60;

    /// <summary>The peak that brings a cone down after a plain climb and a hold, °C.</summary>
    /// <remarks>Source: see <see cref="ConeKinetics"/>; bisection on progress, to 1e-9 °C. Accuracy: that of the kinetics, about 2 °C.</remarks>
    public static Result<double> For(ConeSeries series, Cone cone, double endRateCPerHour, double holdMinutes) =>
        ConeKinetics.Of(series, cone).Then(kinetics =>
            FitPeak(
                new FiringSchedule(kinetics.ReferenceKelvin - ConeKinetics.ZeroCelsiusK - ClimbC, [new Segment(endRateCPerHour, HighestPeakC, holdMinutes)]),
                series, cone)
            .Then<double>(fitted => fitted.PeakC));

    /// <summary>The hold that brings a cone down after a plain climb to a peak, min; 0 where the climb alone does.</summary>
    public static Result<double> HoldMinutesFor(ConeSeries series, Cone cone, double endRateCPerHour, double peakC) =>
        new FiringSchedule(peakC - ClimbC, [new Segment(endRateCPerHour, peakC, FiringSchedule.LongestHoldMinutes)]).ToHistory()
            .Then(history => ConeKinetics.Of(series, cone).Then(_ => HeatWork.Of(series, history)).Then<double>(answer =>
                answer.Cones.First(c => c.Cone == cone).DownAtSeconds is { } moment
                    ? Math.Max(0, (moment - history.Seconds[1]) / SecondsPerMinute)
                    : Refusal.Rule(
                        "firings.peak-too-low",
                        $"At {peakC:0} °C cone {cone} does not come down within a week's hold. Go higher: without a hold it takes about "
                        + $"{answer.Cones.First(c => c.Cone == cone).TableC:0} °C.",
                        "/peakC")));

    /// <summary>The same schedule with its peak moved so that the cone is just down at the end of it, cooling included.</summary>
    public static Result<FiringSchedule> FitPeak(FiringSchedule schedule, ConeSeries series, Cone cone)
    {
        if (schedule.ToHistory().Refusal is { } wrong) return wrong;
        if (ConeKinetics.Of(series, cone).Refusal is { } unknown) return unknown;
        var peak = IndexOfPeak(schedule);
        // Below the other segments' targets it would be no peak.
        var low = schedule.Segments.Where((_, i) => i != peak).Aggregate(schedule.StartC, (most, segment) => Math.Max(most, segment.ToC)) + 1;
        var high = HighestPeakC;
        if (WithPeak(schedule, peak, high).ToHistory().Refusal is { } tooLong) return tooLong;
        if (low >= high || IsDown(low)) return NoPeak(cone, "is down before the peak. Lower the other segments, or hold them for less long.");
        if (!IsDown(high)) return NoPeak(cone, $"does not come down below {HighestPeakC} °C at these rates and holds. Climb slower, or hold longer.");
        for (var i = 0; i < Halvings; i++)
        {
            var middle = (low + high) / 2;
            if (IsDown(middle)) high = middle;
            else low = middle;
        }
        return WithPeak(schedule, peak, high);

        bool IsDown(double peakC) => BringsDown(WithPeak(schedule, peak, peakC).ToHistory().Value, series, cone);
    }

    private static bool BringsDown(TemperatureHistory history, ConeSeries series, Cone cone)
    {
        var meter = HeatWorkMeter.Of(series).Value;
        for (var i = 0; i < history.Seconds.Length; i++) meter.Add(history.Seconds[i], history.Celsius[i]);
        return meter.DownAtSeconds(meter.IndexOf(cone)) is not null;
    }

    private static int IndexOfPeak(FiringSchedule schedule)
    {
        var peak = 0;
        for (var i = 1; i < schedule.Segments.Count; i++)
            if (schedule.Segments[i].ToC > schedule.Segments[peak].ToC)
                peak = i;
        return peak;
    }

    private static FiringSchedule WithPeak(FiringSchedule schedule, int index, double peakC) =>
        schedule with { Segments = [.. schedule.Segments.Select((segment, i) => i == index ? segment with { ToC = peakC } : segment)] };

    private static Refusal NoPeak(Cone cone, string why) => Refusal.Rule("firings.no-such-peak", $"Cone {cone} {why}", "/segments");
}
