using System.Globalization;

namespace KilnShare.Core.Firings;

/// <summary>What seems to be wrong with a firing.</summary>
public enum LogAlarmKind
{
    /// <summary>It should climb and stands still.</summary>
    Stall,

    /// <summary>It should climb and falls.</summary>
    Falling,

    /// <summary>It falls as a kiln without power does.</summary>
    PowerFailure,

    /// <summary>It is hotter than the schedule ever asks for, or a harder cone than meant is down.</summary>
    Overshoot,

    /// <summary>The thermocouple's circuit is open.</summary>
    ThermocoupleOpen,

    /// <summary>The thermocouple is connected the wrong way round.</summary>
    ThermocoupleReversed,

    /// <summary>No reading comes any more.</summary>
    Silent,
}

/// <summary>Something to go and look at.</summary>
/// <param name="Kind">What it looks like.</param>
/// <param name="SinceSeconds">Since when, s from the start of the firing.</param>
/// <param name="Message">What is seen, what it may be and what to do; that it is no safety device.</param>
public sealed record LogAlarm(LogAlarmKind Kind, double SinceSeconds, string Message)
{
    /// <summary>Said with every alarm.</summary>
    public const string NoSafetyDevice =
        "This is a message, no safety device: it may come late or not at all, and switches nothing off. Someone must be with the kiln.";
}

/// <summary>Rules that look at the last stretch of a log and say what seems wrong. Thresholds are common practice, no source.</summary>
internal static class LogAlarms
{
    public const double WindowSeconds = 20 * 60;
    public const double SilentAfterSeconds = 10 * 60;

    private const double ClimbAskedCPerHour = 10;
    private const double StallShare = 0.1;
    private const double StandingStillCPerHour = 5;
    private const double FallingCPerHour = 15;
    private const double NoPowerCPerHour = 50;
    private const double DropAcrossSilenceC = 30;
    private const double OverC = 10;
    private const double BehindC = 20;
    private const double MirrorShare = 0.3;
    private const double FallBelowStartC = 5;

    private const string AfterPowerLoss =
        "Look at the main switch, the fuses and the cut-out. Before you go on, see how far the target cone has come; "
            + "what it has gained is not lost.";

    /// <summary>What is seen at the end of a log, the gravest first.</summary>
    public static IEnumerable<LogAlarm> Of(LogView view)
    {
        if (view.SilentSeconds > SilentAfterSeconds)
            yield return Alarm(LogAlarmKind.Silent, view.LastSeconds,
                $"No reading for {view.SilentSeconds / 60:0} minutes; the last was {view.LastC:0} °C. The logger, its "
                    + "link or the power may have failed. Go and look at the kiln.");
        if (Open(view) is { } open) yield return open;
        else if (Reversed(view) is { } reversed) yield return reversed;
        else if (Losing(view) is { } losing) yield return losing;
        else if (Stall(view) is { } stall) yield return stall;
        if (Overshoot(view) is { } over) yield return over;
    }

    private static LogAlarm? Open(LogView view) => view.LastJump is { } jump
        ? Alarm(LogAlarmKind.ThermocoupleOpen, jump.AtSeconds,
            $"The reading jumped from {jump.FromC:0} to {jump.ToC:0} °C within {jump.Seconds:0} s; no kiln does that. "
                + "The thermocouple or its wire is probably broken. "
            + "The true temperature is not known: switch the kiln off by hand if nobody can tell it by cones.")
        : null;

    // A thermocouple the wrong way round reads as far below the room as the kiln is above it.
    private static LogAlarm? Reversed(LogView view)
    {
        var (fallen, planned) = (view.FirstC - view.LastC, (view.PlannedC ?? view.FirstC) - view.FirstC);
        return fallen > FallBelowStartC && planned > BehindC && fallen > MirrorShare * planned && view.HighestC < view.FirstC + BehindC
            ? Alarm(LogAlarmKind.ThermocoupleReversed, view.WindowStart,
                $"The reading has fallen {fallen:0} °C below where it began, while the kiln should be {planned:0} °C "
                    + "above it. The thermocouple is probably connected the wrong way round, "
                + "and the kiln heats without end. Switch it off by hand and change the two wires.")
            : null;
    }

    private static LogAlarm? Losing(LogView view)
    {
        if (!view.ShouldNotFall) return null;
        if (view.DropAcrossLastSilence is > DropAcrossSilenceC and var drop)
            return Alarm(LogAlarmKind.PowerFailure, view.WindowStart,
                $"After a silence the kiln is {drop:0} °C cooler than before, while it should {view.AskedWord}: power "
                    + $"was probably off for a while. {AfterPowerLoss}");
        if (view.SlopeCPerHour is not { } slope || slope > -FallingCPerHour) return null;
        return slope <= -NoPowerCPerHour
            ? Alarm(LogAlarmKind.PowerFailure, view.WindowStart,
                $"The kiln should {view.AskedWord} and falls at {-slope:0} °C/h from {view.WindowHighestC:0} °C, as it "
                    + $"does without power. {AfterPowerLoss}")
            : Alarm(LogAlarmKind.Falling, view.WindowStart,
                $"The kiln should {view.AskedWord} and falls at {-slope:0} °C/h. An element, a relay or one phase may "
                    + "have failed, or the lid or a spyhole stands open. Go and look.");
    }

    private static LogAlarm? Stall(LogView view)
    {
        if (view.AskedCPerHour is not { } asked || view.SlopeCPerHour is not { } slope || view.PlannedC - view.LastC is not { } behind) return null;
        // A schedule that already holds, above a kiln that is far behind, still asks it to climb.
        var least = asked >= ClimbAskedCPerHour ? StallShare * asked : StandingStillCPerHour;
        return slope < least && behind > (asked >= ClimbAskedCPerHour ? OverC : BehindC)
            ? Alarm(LogAlarmKind.Stall, view.WindowStart,
                $"The kiln is {behind:0} °C behind its schedule, at {view.LastC:0} °C, and made only {slope:0} °C/h in "
                    + $"the last {WindowSeconds / 60:0} minutes. "
                + "Worn elements, low voltage or too heavy a load are the usual reasons. Go on only if the target cone still comes nearer.")
            : null;
    }

    private static LogAlarm? Overshoot(LogView view)
    {
        if (view.PlannedPeakC is { } peak && view.LastC > peak + OverC)
            return Alarm(LogAlarmKind.Overshoot, view.WindowStart,
                $"The kiln is at {view.LastC:0} °C, {view.LastC - peak:0} °C above the schedule's highest {peak:0} °C. "
                    + "A relay may be stuck: switch off by hand.");
        return view.HarderConeDown is { } harder
            ? Alarm(LogAlarmKind.Overshoot, view.LastSeconds,
                $"By the readings cone {harder} is down already, {Steps(harder.StepsAbove(view.Target))} hotter than cone {view.Target}. End the firing "
                    + "unless your witness cones say otherwise.")
            : null;
    }

    private static string Steps(decimal steps) => steps switch
    {
        0.5m => "half a cone",
        1 => "one cone",
        _ => string.Create(CultureInfo.InvariantCulture, $"{steps:0.#} cones"),
    };

    private static LogAlarm Alarm(LogAlarmKind kind, double since, string message) => new(kind, since, message + " " + LogAlarm.NoSafetyDevice);
}
