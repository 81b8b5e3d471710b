using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Api.Materials;
using KilnShare.Core.Common;
using KilnShare.Core.Materials;
using KilnShare.Core.Outcomes;
using KilnShare.Storage;
using KilnShare.Storage.Outcomes;

namespace KilnShare.Api.Outcomes;

/// <summary>What the studio's outcomes say together.</summary>
public static class EvidenceEndpoints
{
    private const int MostOutcomes = 100_000;

    /// <summary>Maps the routes.</summary>
    public static void MapEvidence(this RouteGroupBuilder studio) => studio.MapGet("/evidence", Read)
        .WithTags("Outcomes").WithName("readEvidence").Answers<EvidenceAnswer>();

    /// <summary>Read what the studio's outcomes say together</summary>
    /// <remarks>
    /// The newest 100,000 outcomes, told apart by clay, glaze, cone reached, its series, atmosphere, and coats. by names what they are told apart by instead of
    /// coats: none or several of coats, layers, appliedBy, batch and level. A clay or glaze is looked for by the name it has now. How a coat went on and its
    /// batch are those that the ware went in with; nobody knows them of ware from before they were kept.
    /// </remarks>
    private static async Task<IResult> Read(
        Caller caller, KilnShareDb db, Guid? clayId, Guid? glazeId, QueryCone? cone, QueryWord<Atmosphere>? atmosphere, QueryWords<EvidenceBy>? by,
        CancellationToken cancellation)
    {
        var clay = clayId is { } c ? await db.FindAsync<StudioClay>([caller.StudioId, new Id<StudioClay>(c)], cancellation) : null;
        var glaze = glazeId is { } g ? await db.FindAsync<StudioGlaze>([caller.StudioId, new Id<StudioGlaze>(g)], cancellation) : null;
        if ((clayId is not null && !Sees(caller, clay)) || (glazeId is not null && !Sees(caller, glaze))) return Problems.Absent();
        var apart = by?.Values ?? EvidenceTable.ByCoats;
        var wanted = new OutcomesWanted(
            MostOutcomes)
        { Clay = clay?.Name, Glazes = glaze is null ? null : [glaze.Name], WithLevels = apart.Contains(EvidenceBy.Level) };
        var rows = EvidenceTable.Of(await db.ReadSeenCopies(caller.StudioId, wanted, cancellation), apart)
            .Where(r => glaze is null || string.Equals(r.Glaze, glaze.Name, StringComparison.Ordinal))
            .Where(r => cone is null || r.Cone == cone.Value.Cone)
            .Where(r => atmosphere is null || r.Atmosphere == atmosphere.Value.Value);
        return TypedResults.Ok(new EvidenceAnswer { By = [.. apart.Order()], Rows = [.. rows.Select(EvidenceRowContract.Of)] });
    }

    private static bool Sees(Caller caller, IMaterial? material) => material is not null && OwnMaterials.Sees(caller, material);
}
