using KilnShare.Core.Bookings;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Energy;

/// <summary>The mass of a firing's ware, for all that goes by its heat: forecasts, quotes, what kilns learn, the split of a shared meter.</summary>
internal static class FiringWare
{
    private const double GramsPerKg = 1_000;

    /// <summary>What really went in; before that, what is booked. Null where there is nothing of which a mass is known: the usual load is taken then.</summary>
    public static async Task<double?> KgOf(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        var placed = await db.Set<LoadItem>().AsNoTracking()
            .Where(i => i.StudioId == firing.StudioId && i.FiringId == firing.Id && i.Fate == LoadFate.Placed).Select(i => i.Frozen).ToListAsync(cancellation);
        return Kg(placed.Count > 0 ? placed : await db.Set<BookedCopy>().AsNoTracking()
            .Where(c => c.StudioId == firing.StudioId && c.FiringId == firing.Id && c.State == BookingState.Confirmed && !c.IsRoom).Select(c => c.Frozen)
                .ToListAsync(cancellation));
    }

    /// <summary>The mass of these copies; what was not weighed weighs for its size what the rest does. Null where nothing was weighed.</summary>
    public static double? Kg(IReadOnlyList<FrozenCopy> copies)
    {
        var (weighed, all) = (copies.Where(c => c.MassG is not null).Sum(Size), copies.Sum(Size));
        return weighed > 0 ? copies.Sum(c => (double)(c.MassG ?? 0)) / GramsPerKg * all / weighed : null;
    }

    private static double Size(FrozenCopy copy) => FootprintMeasure.AreaUm2(copy.Footprint) * copy.Height.Micrometres;
}
