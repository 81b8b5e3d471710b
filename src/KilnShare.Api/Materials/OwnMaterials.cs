using KilnShare.Api.Access;
using KilnShare.Core.Common;
using KilnShare.Core.Materials;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Materials;

/// <summary>Clays and glazes that are one member's own, until they are taken into the studio's book.</summary>
internal static class OwnMaterials
{
    /// <summary>True where the caller may see it.</summary>
    public static bool Sees(Caller caller, IMaterial material) => material.IsSeenBy(caller.MemberId, caller.Plans);

    /// <summary>Refuses a potter's change of what stands in the studio's book.</summary>
    public static Refusal? MayChange(Caller caller, IMaterial material) => caller.Plans || material.MemberId == caller.MemberId ? null : new Refusal(
        RefusalKind.Forbidden, "materials.of-the-studio",
            $"{material.Name} stands in the studio's book. Ask a technician to change it, or write down one of your own.");

    /// <summary>
    /// Refuses a member's own material under a name that stands in the book: findings and evidence go by names, so that one would be taken for the other.
    /// </summary>
    public static async Task<Refusal?> Check<T>(T material, KilnShareDb db, CancellationToken cancellation)
        where T : class, IMaterial
    {
        if (material.MemberId is null) return null;
        var book = await db.Set<T>().AsNoTracking().Where(m => m.StudioId == material.StudioId && m.MemberId == null && m.ArchivedAt == null)
            .ToListAsync(cancellation);
        var what = material is StudioClay ? "clay" : "glaze";
        return book.Exists(m => string.Equals(m.Name, material.Name, StringComparison.OrdinalIgnoreCase))
            ? Refusal.Rule($"materials.{what}-in-book", $"The studio's book has a {what} called {material.Name}. Use that one, or give this one another name.",
                "/name") : null;
    }
}
