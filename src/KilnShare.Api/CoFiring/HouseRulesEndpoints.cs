using FluentValidation;
using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.CoFiring;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.CoFiring;

/// <summary>What a studio permits in its kilns, beyond the rules of the trade.</summary>
public sealed record HouseRulesContract
{
    /// <summary>The clays permitted, by name; absent: any.</summary>
    public IReadOnlyList<string>? PermittedClays { get; init; }

    /// <summary>The glazes permitted, by name; absent: any.</summary>
    public IReadOnlyList<string>? PermittedGlazes { get; init; }

    /// <summary>True when ware of materials from outside needs a fired test and a catcher.</summary>
    public bool OutsideMaterialNeedsTestAndCatcher { get; init; }

    /// <summary>In Core's terms.</summary>
    public HouseRules ToCore() => new()
    {
        PermittedClays = PermittedClays,
        PermittedGlazes = PermittedGlazes,
        OutsideMaterialNeedsTestAndCatcher = OutsideMaterialNeedsTestAndCatcher,
    };

    /// <summary>The contract of house rules.</summary>
    public static HouseRulesContract Of(HouseRules rules) => new()
    {
        PermittedClays = rules.PermittedClays,
        PermittedGlazes = rules.PermittedGlazes,
        OutsideMaterialNeedsTestAndCatcher = rules.OutsideMaterialNeedsTestAndCatcher,
    };
}

/// <summary>A studio's house rules.</summary>
public static class HouseRulesEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapHouseRules(this RouteGroupBuilder studio)
    {
        studio.MapGet("/house-rules", Read).WithTags("CoFiring").WithName("readHouseRules").Answers<HouseRulesContract>();
        studio.MapPut("/house-rules", Write).WithTags("CoFiring").WithName("writeHouseRules").Answers<HouseRulesContract>().Refuses(409);
    }

    /// <summary>Read the house rules</summary>
    private static async Task<IResult> Read(Caller caller, KilnShareDb db, CancellationToken cancellation) =>
        TypedResults.Ok(HouseRulesContract.Of((await db.FindAsync<StudioHouseRules>([caller.StudioId], cancellation))?.Rules ?? new HouseRules()));

    /// <summary>Set the house rules</summary>
    /// <remarks>They count for bookings from now on, and unbook nobody.</remarks>
    private static async Task<IResult> Write(HouseRulesContract body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        var rules = body.ToCore();
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        var stored = await db.Set<StudioHouseRules>().Where(r => r.StudioId == caller.StudioId)
            .ExecuteUpdateAsync(set => set.SetProperty(r => r.Rules, rules).SetProperty(r => r.Version, r => r.Version + 1), cancellation);
        if (stored == 0) db.Add(new StudioHouseRules(caller.StudioId, rules));
        Trail.Note(db, caller.StudioId, caller.MemberId, "house-rules.write", caller.StudioId.Value, clock);
        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
        return TypedResults.Ok(body);
    }
}

internal sealed class HouseRulesValidator : AbstractValidator<HouseRulesContract>
{
    private const int Most = 500;

    public HouseRulesValidator()
    {
        RuleFor(r => r.PermittedClays).AtMost(Most);
        RuleForEach(r => r.PermittedClays).Name();
        RuleFor(r => r.PermittedGlazes).AtMost(Most);
        RuleForEach(r => r.PermittedGlazes).Name();
    }
}
