using FluentValidation;
using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>What was looked at before a kiln was lit.</summary>
public record LightingBody
{
    /// <summary>The vent runs.</summary>
    public required bool VentOn { get; init; }

    /// <summary>Witness cones stand where they can be seen.</summary>
    public required bool WitnessConesPlaced { get; init; }

    /// <summary>Spy hole plugs are in or out as the schedule wants.</summary>
    public required bool PlugsAsWanted { get; init; }

    /// <summary>Shelves carry kiln wash where glaze may run.</summary>
    public required bool ShelvesWashed { get; init; }

    /// <summary>The clearance on the kiln's plate is kept.</summary>
    public required bool NothingFlammableNear { get; init; }

    /// <summary>Who will be there at the end of the firing.</summary>
    /// <example>Tilo</example>
    public required string PresentAtEnd { get; init; }
}

/// <summary>The list of a firing, and who went through it.</summary>
public sealed record LightingAnswer : LightingBody
{
    /// <summary>Who looked.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>When.</summary>
    public required Instant CheckedAt { get; init; }

    /// <summary>What this list is not.</summary>
    public required string Caution { get; init; }

    /// <summary>The answer for a list.</summary>
    public static LightingAnswer Of(LightingChecks checks) => new()
    {
        VentOn = checks.List.VentOn,
        WitnessConesPlaced = checks.List.WitnessConesPlaced,
        PlugsAsWanted = checks.List.PlugsAsWanted,
        ShelvesWashed = checks.List.ShelvesWashed,
        NothingFlammableNear = checks.List.NothingFlammableNear,
        PresentAtEnd = checks.List.PresentAtEnd,
        MemberId = checks.MemberId.Value,
        CheckedAt = checks.CheckedAt,
        Caution = "A list to go by, not a safety device: local codes, the maker's instructions and licensed people come first.",
    };
}

/// <summary>The checks before lighting.</summary>
public static class LightingEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapLighting(this RouteGroupBuilder studio)
    {
        var checks = studio.MapGroup("/firings/{firingId:guid}/lighting-checks").WithTags("Firings");
        checks.MapGet("", Read).WithName("readLightingChecks").Answers<LightingAnswer>();
        checks.MapPut("", Write).WithName("writeLightingChecks").Answers<LightingAnswer>().Refuses(409);
    }

    /// <summary>Read the checks before lighting</summary>
    private static async Task<IResult> Read(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation) =>
        await db.FindAsync<LightingChecks>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is { } checks
            ? TypedResults.Ok(LightingAnswer.Of(checks)) : Problems.Absent();

    /// <summary>Write down the checks before lighting</summary>
    private static async Task<IResult> Write(Guid firingId, LightingBody body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (firing.State > FiringState.Loaded)
            return Problems.Of(Refusal.Conflict("firings.lit-already", $"The firing is {FiringStates.Word(firing.State)}: the checks belong before lighting."));
        var list = new LightingList(body.VentOn, body.WitnessConesPlaced, body.PlugsAsWanted, body.ShelvesWashed, body.NothingFlammableNear, body.PresentAtEnd);
        var checks = await db.FindAsync<LightingChecks>([caller.StudioId, firing.Id], cancellation);
        if (checks is null) db.Add(checks = new LightingChecks(caller.StudioId, firing.Id, list, caller.MemberId, clock.GetCurrentInstant()));
        (checks.List, checks.MemberId, checks.CheckedAt) = (list, caller.MemberId, clock.GetCurrentInstant());
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.lighting-checks", firingId, clock);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Ok(LightingAnswer.Of(checks));
    }
}

internal sealed class LightingValidator : AbstractValidator<LightingBody>
{
    public LightingValidator() => RuleFor(l => l.PresentAtEnd).Name();
}
