using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>A kiln that is switched on: by command, with the checks done or somebody answering for it; or as its readings show, whatever was said.</summary>
internal static class Lighting
{
    /// <summary>A telephone's clock may be so far ahead.</summary>
    private static readonly Duration ClockAhead = Duration.FromMinutes(2);

    /// <summary>Lights the firing, or says what stands against it.</summary>
    public static async Task<Refusal?> Command(KilnShareDb db, Firing firing, FiringStateBody body, Instant now, CancellationToken cancellation)
    {
        if (body.LitAt > now + ClockAhead)
            return Refusal.Rule("firings.lit-in-future", "litAt lies ahead. Say when the kiln was switched on, or leave it out: its log then tells.", "/litAt");
        var missing = await MissingChecks(db, firing, cancellation);
        if (missing is not null && body.AnsweredBy is null) return Refusal.Conflict(
            "firings.not-checked",
                $"{missing} Go through the checks before lighting and write them down, or name in answeredBy who answers for lighting it without.",
                "/answeredBy");
        var log = await FiringLog.Read(db, firing, cancellation);
        firing.Light(body.LitAt, LogLighting.StartOfClimb(log.Readings), missing is not null, missing is null ? null : body.AnsweredBy);
        return null;
    }

    /// <summary>A hot kiln is never without log and alarms: readings that show heat make a fixed or loaded firing a heating one, and are told.</summary>
    public static async Task Heed(KilnShareDb db, Caller caller, Firing firing, LogAssembly log, IClock clock, CancellationToken cancellation)
    {
        var readings = log.Readings;
        var climb = LogLighting.StartOfClimb(readings);
        if (firing.State >= FiringState.Heating)
        {
            if (climb is { } at && firing.IsLitByLog && firing.LitAt != at) firing.LitByLog(at);
            return;
        }

        if (climb is null && !(firing.State == FiringState.Loaded && LogLighting.IsHot(readings))) return;
        firing.LightByReadings(climb, await MissingChecks(db, firing, cancellation) is not null);
        firing.Version++;
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.heating", firing.Id.Value, clock);
        if (firing.LitWithoutChecks) Trail.Note(db, caller.StudioId, caller.MemberId, "firings.lit-without-checks", firing.Id.Value, clock);
        await FiringOverrun.Mark(db, caller, firing, clock, cancellation);
    }

    /// <summary>What is missing of the checks, in a sentence; null where all are done.</summary>
    private static async Task<string?> MissingChecks(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        if (await db.FindAsync<LightingChecks>([firing.StudioId, firing.Id], cancellation) is not { } checks)
            return "Nobody went through the checks before lighting.";
        var notSo = checks.List.NotSo();
        return notSo.Count == 0 ? null : $"By the checks before lighting {string.Join(", and ", notSo)}.";
    }
}
