namespace KilnShare.Core.Energy;

/// <summary>
/// A controller on its way through a programme: what temperature it wants now. A hold begins when the kiln has reached the target; a ramp
/// whose kiln falls behind goes on to its target and waits there.
/// </summary>
internal sealed class Controller(PowerProgramme programme)
{
    /// <summary>Near enough to begin a hold.</summary>
    private const double ReachedWithinC = 0.5;

    private const double Tiny = 1e-9;

    private int segment;
    private double holdLeftSeconds;
    private bool holding;

    /// <summary>What it wants at the end of the present step, °C.</summary>
    public double SetpointC { get; private set; } = programme.StartC;

    /// <summary>True after the last hold.</summary>
    public bool Done => segment >= programme.Segments.Count;

    /// <summary>True on a way up; a hold keeps the direction of its ramp.</summary>
    public bool Rising { get; private set; } = true;

    /// <summary>True where the setpoint stands at its target and only the kiln is missing.</summary>
    public bool Waiting => !Done && !holding && Math.Abs(SetpointC - Now.ToC) < Tiny;

    /// <summary>True where the programme asks for as fast as the kiln can: being behind is then no shortfall.</summary>
    public bool AsFastAsItCan => !Done && !holding && Now.RateCPerHour is null;

    private PowerSegment Now => programme.Segments[segment];

    /// <summary>Moves the setpoint on by a step no longer than <paramref name="mostSeconds"/>; the step's length.</summary>
    public double Advance(double kilnC, double mostSeconds)
    {
        if (holding)
        {
            var held = Math.Min(mostSeconds, holdLeftSeconds);
            holdLeftSeconds -= held;
            return held;
        }
        Rising = Now.ToC >= Math.Min(SetpointC, kilnC) && Now.ToC > kilnC - ReachedWithinC;
        var away = Now.ToC - SetpointC;
        if (Now.RateCPerHour is not { } rate || Math.Abs(away) < Tiny)
        {
            SetpointC = Now.ToC;
            return mostSeconds;
        }
        var toTarget = Math.Abs(away) / rate * 3600;
        var seconds = Math.Min(mostSeconds, toTarget);
        SetpointC = toTarget <= mostSeconds ? Now.ToC : SetpointC + Math.Sign(away) * rate * seconds / 3600;
        return seconds;
    }

    /// <summary>Sees where the step has led: begins and ends holds.</summary>
    public void Look(double kilnC)
    {
        if (!holding)
        {
            if (!Waiting || Math.Abs(kilnC - Now.ToC) > ReachedWithinC) return;
            holding = true;
            holdLeftSeconds = Now.HoldMinutes * 60;
        }
        if (holdLeftSeconds > Tiny) return;
        holding = false;
        segment++;
    }

    /// <summary>Gives the programme up: the kiln does not get there.</summary>
    public void GiveUp() => segment = programme.Segments.Count;
}
