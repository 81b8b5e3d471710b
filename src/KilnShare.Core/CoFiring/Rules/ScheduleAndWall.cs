using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>The thicker the wall, the slower it may be heated where water leaves and where clay changes its size, and the slower cooled.</summary>
internal sealed class ScheduleAndWall() : PieceRule(
    "schedule-and-wall",
        "Ceramic society firing chart (2005) for the temperatures; rates by wall: university ceramics teaching notes and common practice (see WareLimits)",
    "the firing's schedule and the thickest wall", CoFiring.Touches.Others, CoFiring.Touches.Self)
{
    /// <summary>Walls up to here are fired as usual, mm (common practice, no source).</summary>
    private const decimal UsualWallMm = 12m;

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (ware.WallMm is not { } wall) yield break;
        if (load.Firing.Schedule is null)
        {
            if (ware.Stage == Stage.Greenware && wall > UsualWallMm) yield return NoSchedule(ware, wall);
            yield break;
        }

        foreach (var touching in load.UnkindPassings(ware)
            .GroupBy(passing => passing.Key == KeyTemperatures.Water ? CoFiring.Touches.Others : CoFiring.Touches.Self))
            yield return TooFast(ware, wall, touching.Key, [.. touching]);
    }

    private Finding NoSchedule(Ware ware, decimal wall) => Say(
        [ware.Id], CoFiring.Touches.Others, Verdict.Unknown,
        $"A wall of {wall:0.#} mm wants a slower firing than usual, and which schedule this firing follows is not known. Steam bursts thick ware over its "
            + $"neighbours: "
        + $"name the firing's schedule, with a drying hold of {WareLimits.DryingHoldHours((double)wall):0.#} h at {WareLimits.CandlingFromC} to "
            + $"{WareLimits.CandlingToC} °C (176 to 203 °F), or ask a technician.",
        [], ("wallMm", wall), ("holdHours", Math.Round(WareLimits.DryingHoldHours((double)wall), 1)));

    private Finding TooFast(Ware ware, decimal wall, Touches touches, List<SchedulePassing> passings)
    {
        var worst = passings.MaxBy(passing => passing.FastestCPerHour / passing.KindCPerHour)!;
        var (fastest, kind) = (worst.FastestCPerHour, worst.KindCPerHour!.Value);
        var drying = worst.Key == KeyTemperatures.Water
            ? $", or hold it {WareLimits.DryingHoldHours((double)wall):0.#} h at {WareLimits.CandlingFromC} to {WareLimits.CandlingToC} °C first" : "";
        var finding = Say(
            [ware.Id], touches, Verdict.Caution,
            $"Where {worst.Key.What}, from {InBoth(worst.Key.WatchedFromC)} to {InBoth(worst.Key.WatchedToC)}, the schedule "
                + $"{(worst.Climbing ? "climbs" : "falls")} at {fastest:0} °C/h; "
            + $"a wall of {wall:0.#} mm wants {kind:0} °C/h or less. It may {(touches == CoFiring.Touches.Others ? "burst over its neighbours" : "crack")}: "
                + $"slow the schedule there{drying}.",
            [], ("wallMm", wall), ("fastestCPerHour", Math.Round(fastest, 1)), ("kindCPerHour", Math.Round(kind, 1)),
            ("passings", passings.Select(passing => passing.Key.Name).ToArray()));
        return finding with { Asks = wall > UsualWallMm ? Asks.Technician : Asks.Nobody };
    }

    private static string InBoth(double celsius) => $"{celsius:0} °C ({TemperatureUnits.ToFahrenheit(celsius):0} °F)";
}
