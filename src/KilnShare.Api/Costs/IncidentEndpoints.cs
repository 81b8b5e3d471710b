using FluentValidation;
using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Costs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>What one party lost.</summary>
public sealed record LossContract
{
    /// <summary>Who lost; null: the studio, as with a shelf.</summary>
    public Guid? MemberId { get; init; }

    /// <summary>What is made good, minor units.</summary>
    /// <example>4500</example>
    public required long AmountMinor { get; init; }

    /// <summary>In a word.</summary>
    /// <example>shelf</example>
    public required string What { get; init; }
}

/// <summary>Damage in a firing, as the people concerned settled it.</summary>
public record IncidentBody
{
    /// <summary>Who makes it good; null: the studio does.</summary>
    public Guid? CausedBy { get; init; }

    /// <summary>What was lost, and by whom. A party's own loss moves no money.</summary>
    public required IReadOnlyList<LossContract> Losses { get; init; }

    /// <summary>What happened.</summary>
    /// <example>the glaze ran over the foot and took the batt wash with it</example>
    public required string Reason { get; init; }
}

/// <summary>An incident written down. Whoever the studio does not show everybody's amounts sees the losses that they bear or are made good for.</summary>
public sealed record IncidentAnswer : IncidentBody
{
    /// <summary>What is withheld, and whom to ask; null where nothing is.</summary>
    public required string? Withheld { get; init; }

    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>The firing.</summary>
    public required Guid FiringId { get; init; }

    /// <summary>When it was written down.</summary>
    public required Instant At { get; init; }

    /// <summary>The answer for an incident.</summary>
    internal static IncidentAnswer Of(FiringIncident incident, AmountsView view) => new()
    {
        Id = incident.Id.Value,
        FiringId = incident.FiringId.Value,
        CausedBy = incident.CausedBy?.Value,
        Withheld = view.WithheldLines,
        Losses = [.. incident.Losses.Where(l => view.Shows(l.Member) || view.Shows(incident.CausedBy?.ToString()))
            .Select(l => new LossContract { MemberId = l.Member is null ? null : Guid.Parse(l.Member), AmountMinor = l.AmountMinor, What = l.What })],
        Reason = incident.Reason,
        At = incident.At,
    };
}

/// <summary>Damage to the kiln or to a neighbour's ware.</summary>
public static class IncidentEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapIncidents(this RouteGroupBuilder studio)
    {
        var incidents = studio.MapGroup("/firings/{firingId:guid}/incidents").WithTags("Costs");
        incidents.MapPost("", Create).WithName("createIncident").NeedsKey().Answers<IncidentAnswer>(201).Refuses(409, 422);
        incidents.MapGet("", List).WithName("listIncidents").Answers<Page<IncidentAnswer>>();
    }

    /// <summary>Write down damage and who makes it good</summary>
    /// <remarks>Goes into the books at once: from whoever makes it good to each who lost. Needs an Idempotency-Key.</remarks>
    private static async Task<IResult> Create(
        Guid firingId, IncidentBody body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (await FindStranger(body, db, cancellation) is { } stranger) return Problems.Of(stranger);
        var incident = new FiringIncident(
            caller.StudioId, NewId.Of<FiringIncident>(clock), firing.Id, body.CausedBy is { } by ? new Id<Member>(by) : null,
            [.. body.Losses.Select(l => new Loss(l.MemberId?.ToString(), l.AmountMinor, l.What))], body.Reason, caller.MemberId, clock.GetCurrentInstant());
        var currency = await StudioReading.CurrencyOf(db, cancellation);
        var answer = IncidentAnswer.Of(incident, AmountsView.Everything);
        db.Add(incident);
        db.AddEntries(caller.StudioId, incident.Entries(currency));
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.incident", incident.Id.Value, clock);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Created((string?)null, answer);
    }

    /// <summary>List a firing's incidents</summary>
    private static async Task<IResult> List(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        var incidents = await db.Set<FiringIncident>().AsNoTracking()
            .Where(i => i.StudioId == caller.StudioId && i.FiringId == firing.Id).OrderBy(i => i.Id).ToListAsync(cancellation);
        var studio = await StudioReading.ReadStudio(db, cancellation);
        var view = AmountsView.OfLines(studio.AmountsShownTo, caller.Role, caller.MemberId);
        return TypedResults.Ok(new Page<IncidentAnswer> { Items = [.. incidents.Select(i => IncidentAnswer.Of(i, view))], Next = null });
    }

    private static async Task<Refusal?> FindStranger(IncidentBody body, KilnShareDb db, CancellationToken cancellation)
    {
        var named = body.Losses.Select((l, i) => (Id: l.MemberId, Pointer: $"/losses/{i}/memberId")).Append((Id: body.CausedBy, Pointer: "/causedBy"))
            .Where(n => n.Id is not null).Select(n => (Id: new Id<Member>(n.Id!.Value), n.Pointer)).ToList();
        var ids = named.Select(n => n.Id).ToList();
        var known = await db.Set<Member>().Where(m => ids.Contains(m.Id)).Select(m => m.Id).ToListAsync(cancellation);
        return named.Find(n => !known.Contains(n.Id)) is { Pointer: { } pointer } ? PaymentEndpoints.NoSuchMember(pointer) : null;
    }
}

internal sealed class IncidentValidator : AbstractValidator<IncidentBody>
{
    private const int MostLosses = 100;

    public IncidentValidator()
    {
        RuleFor(i => i.Losses).NotEmpty().WithMessage("Takes one loss at the least.");
        RuleFor(i => i.Losses).AtMost(MostLosses);
        RuleForEach(i => i.Losses).ChildRules(l =>
        {
            l.RuleFor(x => x.AmountMinor).InclusiveBetween(1, CostLimits.MostMinor).WithMessage($"Takes minor units from 1 to {CostLimits.MostMinor}.");
            l.RuleFor(x => x.What).Line(40);
        });
        RuleFor(i => i.Reason).Line(StudioLimits.MaxNote);
    }
}
