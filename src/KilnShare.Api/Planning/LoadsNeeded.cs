using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Loading.Series;

namespace KilnShare.Api.Planning;

/// <summary>How many loads of a kiln a proposed firing comes to: what may fire together need not stand in one load.</summary>
internal static class LoadsNeeded
{
    // Enough to make a series with some care; a booking searches longer.
    private const long Iterations = 300;

    /// <summary>The loads by kiln; null figures where the time was over before, or the ware is more than a plan takes.</summary>
    public static IReadOnlyList<KilnLoadsContract> Of(FiringGroup group, IReadOnlyList<WaitingWare> ware, IEnumerable<Kiln> kilns, WorkBudget budget) =>
        [.. kilns.Select(kiln => Of(group, ware, kiln, budget))];

    private static KilnLoadsContract Of(FiringGroup group, IReadOnlyList<WaitingWare> ware, Kiln kiln, WorkBudget budget)
    {
        var aim = new FiringAim(group.Kind, group.Cone, group.Series, group.Atmosphere);
        var room = new FiringRoom(aim, kiln.Making, kiln.Furniture, default, [], [], [], 0);
        var copies = ware.SelectMany(w => w.Copies.Select(copy => new HeldCopy(default, w.PieceId, copy, w.Frozen, null))).ToList();
        if (budget.Over || !room.Problem(copies, Keep.None).TryGet(out var problem, out _)) return new KilnLoadsContract { KilnId = kiln.Id.Value };
        var series = LoadSeries.Solve(problem, new LoadOptions(), budget.AtMost(Iterations));
        if (budget.Over) return new KilnLoadsContract { KilnId = kiln.Id.Value };
        return new KilnLoadsContract
        {
            KilnId = kiln.Id.Value,
            Loads = series.Loads.Count,
            LeastLoads = series.LeastLoads,
            CopiesWithoutPlace = series.Unplaced.Sum(u => u.Copies.Count),
        };
    }
}
