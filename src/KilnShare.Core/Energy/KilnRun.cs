namespace KilnShare.Core.Energy;

/// <summary>A span in which the kiln could not follow its programme.</summary>
/// <param name="FromSeconds">From the start of the firing.</param>
/// <param name="ToSeconds">Until.</param>
/// <param name="ShortC">The greatest distance from the programme in it.</param>
/// <param name="Cooling">True where the kiln cooled more slowly than asked.</param>
public sealed record LimitedSpan(double FromSeconds, double ToSeconds, double ShortC, bool Cooling);

/// <summary>One step of a run.</summary>
/// <param name="EndSeconds">When it ended.</param>
/// <param name="Celsius">The kiln's temperature then.</param>
/// <param name="Kw">Mean power during it.</param>
public readonly record struct RunStep(double EndSeconds, double Celsius, double Kw);

/// <summary>Where the energy was when the elements last switched off, J.</summary>
/// <param name="Electric">All that the elements gave.</param>
/// <param name="Ware">In the ware.</param>
/// <param name="Furniture">In shelves and posts.</param>
/// <param name="Walls">In the walls.</param>
/// <param name="Loss">Given to the room until then.</param>
/// <param name="Water">Took the water out.</param>
/// <param name="Chemistry">Changed the clay.</param>
public sealed record HeatBalance(double Electric, double Ware, double Furniture, double Walls, double Loss, double Water, double Chemistry);

/// <summary>A firing as the model saw it.</summary>
/// <param name="Steps">Every step, heating and cooling.</param>
/// <param name="ProgrammeSeconds">Until the end of the programme.</param>
/// <param name="PeakC">The hottest it got.</param>
/// <param name="Balance">At the moment the elements last switched off.</param>
/// <param name="Limited">Where it could not follow.</param>
/// <param name="GaveUp">True where the kiln stopped rising (or falling) short of a target and the programme was broken off.</param>
public sealed record KilnRun(
    IReadOnlyList<RunStep> Steps, double ProgrammeSeconds, double PeakC, HeatBalance Balance, IReadOnlyList<LimitedSpan> Limited, bool GaveUp)
{
    /// <summary>Seconds from the end of the programme until the kiln had cooled to a temperature; null where the run ended before.</summary>
    public double? CoolingSeconds(double celsius)
    {
        var before = (Seconds: ProgrammeSeconds, Celsius: double.NaN);
        foreach (var step in Steps)
        {
            if (step.EndSeconds < ProgrammeSeconds) continue;
            if (step.Celsius <= celsius)
            {
                var part = before.Celsius > celsius ? (before.Celsius - celsius) / (before.Celsius - step.Celsius) : 0;
                return before.Seconds + part * (step.EndSeconds - before.Seconds) - ProgrammeSeconds;
            }
            before = (step.EndSeconds, step.Celsius);
        }
        return null;
    }
}
