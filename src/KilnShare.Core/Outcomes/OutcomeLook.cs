namespace KilnShare.Core.Outcomes;

/// <summary>What fired ware is like, in its maker's words. Each is null where that was not said.</summary>
/// <param name="Surface">Such as "satin, breaks on edges".</param>
/// <param name="Opacity">Such as "clear over texture".</param>
/// <param name="Feel">Such as "dry, catches a fingernail".</param>
/// <param name="Colour">Such as "blue speckle on rust".</param>
public sealed record OutcomeLook(string? Surface, string? Opacity, string? Feel, string? Colour);
