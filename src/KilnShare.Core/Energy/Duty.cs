namespace KilnShare.Core.Energy;

/// <summary>Energy without a meter: rated power and how much of the time the elements were on.</summary>
public static class Duty
{
    /// <summary>kW × the sum of hours × duty.</summary>
    /// <remarks>Source: arithmetic. Units: kWh. Valid for: duties of 0 to 1. Accuracy: the elements' real power may differ by 10 %.</remarks>
    public static decimal Kwh(decimal ratedKw, IEnumerable<(decimal Hours, decimal Duty)> spans) => ratedKw * spans.Sum(s => s.Hours * s.Duty);
}
