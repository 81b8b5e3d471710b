using KilnShare.Api.Access;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Costs;

/// <summary>What the books need to know of the studio and its people.</summary>
internal static class StudioReading
{
    /// <summary>The studio that the connection may see.</summary>
    public static Task<Studio> ReadStudio(KilnShareDb db, CancellationToken cancellation) => db.Set<Studio>().AsNoTracking().SingleAsync(cancellation);

    /// <summary>The studio's currency.</summary>
    public static async Task<Currency> CurrencyOf(KilnShareDb db, CancellationToken cancellation) =>
        Currency.Parse((await ReadStudio(db, cancellation)).Currency)!.Value;

    /// <summary>The studio's cost rules; the usual ones where it has none of its own.</summary>
    public static async Task<CostRules> RulesOf(KilnShareDb db, CancellationToken cancellation) =>
        (await db.Set<StudioCostRules>().AsNoTracking().SingleOrDefaultAsync(cancellation))?.Rules ?? CostRules.Usual;

    /// <summary>True for a caller who reads everybody's amounts.</summary>
    public static async Task<bool> SeesAllAmounts(KilnShareDb db, Caller caller, CancellationToken cancellation) =>
        caller.Plans || AmountsView.SeesAll((await ReadStudio(db, cancellation)).AmountsShownTo, caller.Role);

    /// <summary>The names of members by their opaque ids.</summary>
    public static async Task<IReadOnlyDictionary<string, string>> NamesOf(KilnShareDb db, IEnumerable<string?> members, CancellationToken cancellation)
    {
        var ids = members.OfType<string>().Distinct(StringComparer.Ordinal).Select(m => new Id<Member>(Guid.Parse(m))).ToList();
        return (await db.Set<Member>().AsNoTracking().Where(m => ids.Contains(m.Id)).ToListAsync(cancellation))
            .ToDictionary(m => m.Id.ToString(), m => m.Name, StringComparer.Ordinal);
    }
}
