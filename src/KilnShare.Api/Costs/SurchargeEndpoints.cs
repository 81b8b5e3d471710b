using FluentValidation;
using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>What a member used up in a firing.</summary>
public sealed record SurchargeUseContract
{
    /// <summary>The member.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>A surcharge of the studio's cost rules.</summary>
    /// <example>catcher</example>
    public required string Name { get; init; }

    /// <summary>How many.</summary>
    /// <example>2</example>
    public required int Count { get; init; }
}

/// <summary>What members used up in a firing: the whole list, which takes the place of the one before.</summary>
public record SurchargesBody
{
    /// <summary>The list.</summary>
    public required IReadOnlyList<SurchargeUseContract> Surcharges { get; init; }
}

/// <summary>What members used up in a firing, as far as the studio shows it: each has a price, so a count is an amount.</summary>
public sealed record SurchargesAnswer : SurchargesBody
{
    /// <summary>What is withheld, and whom to ask; null where nothing is.</summary>
    public required string? Withheld { get; init; }

    /// <summary>The answer for a list.</summary>
    internal static SurchargesAnswer Of(IEnumerable<SurchargeUse> uses, AmountsView view) => new()
    {
        Surcharges = [
            .. uses.Where(u => view.Shows(u.Member)).Select(u => new SurchargeUseContract { MemberId = Guid.Parse(u.Member), Name = u.Name, Count = u.Count })],
        Withheld = view.WithheldLines,
    };
}

/// <summary>Stilts, catchers, refires of single members in a firing.</summary>
public static class SurchargeEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapSurcharges(this RouteGroupBuilder studio)
    {
        var surcharges = studio.MapGroup("/firings/{firingId:guid}/surcharges").WithTags("Costs");
        surcharges.MapPut("", Write).WithName("writeSurcharges").Answers<SurchargesAnswer>().Refuses(409, 422);
        surcharges.MapGet("", Read).WithName("readSurcharges").Answers<SurchargesAnswer>();
    }

    /// <summary>Write down what members used up in a firing</summary>
    /// <remarks>Only for members with ware in its load, once the load is written down; until it is settled.</remarks>
    private static async Task<IResult> Write(
        Guid firingId, SurchargesBody body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (firing.State == FiringState.Settled)
            return Problems.Of(Refusal.Conflict("costs.already-settled", "This firing is settled. Write a charge or a credit instead."));
        List<SurchargeUse> uses = [.. body.Surcharges.Select(s => new SurchargeUse(s.MemberId.ToString(), s.Name, s.Count))];
        if (Surcharges.Parts((await StudioReading.RulesOf(db, cancellation)).Surcharges, uses).Refusal is { } refusal) return Problems.Of(refusal);
        var load = await db.Set<Core.Bookings.LoadItem>().AsNoTracking()
            .Where(i => i.StudioId == caller.StudioId && i.FiringId == firing.Id && i.Fate == Core.Bookings.LoadFate.Placed).ToListAsync(cancellation);
        var stranger = uses.FindIndex(u => load.TrueForAll(i => i.Frozen.MemberId.ToString() != u.Member));
        if (stranger >= 0) return Problems.Of(Refusal.Rule("costs.not-in-load",
            "That member has no ware in this firing's load. Write the load down first, or check the id.", $"/surcharges/{stranger}/memberId"));
        var stored = await db.FindAsync<FiringSurcharges>([caller.StudioId, firing.Id], cancellation);
        if (stored is null) db.Add(new FiringSurcharges(caller.StudioId, firing.Id, uses));
        else stored.Uses = uses;
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.surcharges", firingId, clock);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Ok(SurchargesAnswer.Of(uses, AmountsView.Everything));
    }

    /// <summary>Read what members used up in a firing</summary>
    private static async Task<IResult> Read(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        var stored = await db.FindAsync<FiringSurcharges>([caller.StudioId, firing.Id], cancellation);
        var studio = await StudioReading.ReadStudio(db, cancellation);
        return TypedResults.Ok(SurchargesAnswer.Of(stored?.Uses ?? [], AmountsView.OfLines(studio.AmountsShownTo, caller.Role, caller.MemberId)));
    }
}

internal sealed class SurchargesValidator : AbstractValidator<SurchargesBody>
{
    private const int Most = 200;
    private const int MostCount = 10_000;

    public SurchargesValidator()
    {
        RuleFor(b => b.Surcharges).AtMost(Most);
        RuleForEach(b => b.Surcharges)
            .ChildRules(s => s.RuleFor(x => x.Count).InclusiveBetween(0, MostCount).WithMessage($"Takes a count from 0 to {MostCount}."));
    }
}
