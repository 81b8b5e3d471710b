using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Firings;

/// <summary>Finds firings by what stands in their value trees, where queries of C# do not reach.</summary>
public static class FiringFinding
{
    /// <summary>A studio's firings of a kind.</summary>
    /// <param name="db">The studio's rows.</param>
    /// <param name="studio">The studio.</param>
    /// <param name="kind">The kind, by its word.</param>
    public static IQueryable<Firing> FiringsOfKind(this KilnShareDb db, Id<Studio> studio, string kind) =>
        db.Set<Firing>().FromSql($"select * from firing where studio_id = {studio.Value} and aim ->> 'kind' = {kind}");
}
