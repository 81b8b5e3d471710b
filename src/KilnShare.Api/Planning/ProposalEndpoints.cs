using KilnShare.Api.Access;
using KilnShare.Api.CoFiring;
using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Planning;

/// <summary>Which pieces into which firings.</summary>
public static class ProposalEndpoints
{
    // For the loads of all firings and kilns together.
    private static readonly TimeSpan TimeForLoads = TimeSpan.FromSeconds(8);

    /// <summary>Maps the routes.</summary>
    public static void MapProposals(this RouteGroupBuilder studio) =>
        studio.MapGet("/proposals", Propose).WithTags("Planning").WithName("proposeFirings").Answers<ProposalsAnswer>().Refuses(503);

    /// <summary>Propose the fewest firings for all that waits</summary>
    /// <remarks>
    /// Every copy that is not booked for its next step, grouped by the co-firing rules and the house rules, in firings that some kiln in service
    /// is rated for, with the loads that each comes to in each such kiln. Looks at the 2,000 oldest pieces. Nothing is stored: plan a firing and book.
    /// </remarks>
    private static async Task<IResult> Propose(Caller caller, KilnShareDb db, SearchGate gate, TimeProvider clock, CancellationToken cancellation)
    {
        var waiting = await WaitingWare.Read(db, caller.StudioId, FiringGroupsProblem.MostPieces, cancellation);
        if (waiting.Count == 0) return TypedResults.Ok(new ProposalsAnswer { Firings = [], Proven = true, LowerBound = 0, LeftOut = [] });
        var kilns = await db.Set<Kiln>().AsNoTracking()
            .Where(k => k.StudioId == caller.StudioId && k.ArchivedAt == null && k.OutOfServiceReason == null).OrderBy(k => k.Id).ToListAsync(cancellation);
        var rated = kilns.Count == 0 || kilns.Exists(k => k.Making.RatedCone is null) ? null : kilns.Max(k => k.Making.RatedCone);
        var house = await db.Set<StudioHouseRules>().AsNoTracking().Where(r => r.StudioId == caller.StudioId).Select(r => r.Rules)
            .SingleOrDefaultAsync(cancellation);
        var problem = FiringGroupsProblem.Of([.. waiting.Select(w => w.Ware)], new FiringBounds(rated, house)).Value;
        var answer = await gate.RunTimed(
            () => Answer(FewestFirings.Of(problem, clock, cancellation), waiting.ToDictionary(
                w => w.Ware.Id, StringComparer.Ordinal), kilns, WorkBudget.OfTime(TimeForLoads, clock, cancellation)),
            cancellation);
        return answer.TryGet(out var found, out var refusal) ? TypedResults.Ok(found) : Problems.Of(refusal);
    }

    private static ProposalsAnswer Answer(FiringGroupsPlan plan, Dictionary<string, WaitingWare> waiting, List<Kiln> kilns, WorkBudget budget) => new()
    {
        Firings = [.. plan.Groups.Select(
            g => FiringOf(g, [.. g.PieceIds.Select(id => waiting[id])], [.. kilns.Where(k => k.Making.RatedCone is not { } most || g.Cone <= most)], budget))],
        Proven = plan.Proven,
        LowerBound = plan.LowerBound,
        LeftOut = [.. plan.LeftOut.Select(l => (Ware: waiting[l.Id], l.Reason))
            .Select(l => new LeftOutPieceContract { PieceId = l.Ware.PieceId.Value, Copies = l.Ware.Copies, Reason = l.Reason })],
    };

    private static ProposedFiringContract FiringOf(FiringGroup group, IReadOnlyList<WaitingWare> ware, IReadOnlyList<Kiln> kilns, WorkBudget budget) => new()
    {
        Kind = group.Kind,
        Cone = group.Cone,
        Series = group.Series,
        ConeEquivalent = ConeEquivalentContract.At(group.Series, group.Cone),
        Atmosphere = group.Atmosphere,
        Pieces = [.. ware.GroupBy(w => w.PieceId)
            .Select(p => new ProposedPieceContract { PieceId = p.Key.Value, Copies = [.. p.SelectMany(w => w.Copies).Order()] })],
        KilnIds = [.. kilns.Select(k => k.Id.Value)],
        Loads = LoadsNeeded.Of(group, ware, kilns, budget),
    };
}
