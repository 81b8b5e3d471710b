namespace KilnShare.Core.Energy;

/// <summary>One ramp and hold.</summary>
/// <param name="RateCPerHour">Above 0, up or down; null: as fast as the kiln can.</param>
/// <param name="ToC">The target.</param>
/// <param name="HoldMinutes">How long there; counted from when the kiln has got there.</param>
public readonly record struct PowerSegment(double? RateCPerHour, double ToC, double HoldMinutes);

/// <summary>What the kiln's controller is to do.</summary>
/// <param name="StartC">Temperature of the whole kiln at the start.</param>
/// <param name="Segments">In order.</param>
public sealed record PowerProgramme(double StartC, IReadOnlyList<PowerSegment> Segments);
