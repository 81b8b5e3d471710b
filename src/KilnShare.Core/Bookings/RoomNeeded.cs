using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Bookings;

/// <summary>What would have to stay out of a firing for a booking to fit, as the one who books may know it.</summary>
/// <param name="Own">Copies of the same member: piece, mark and copy.</param>
/// <param name="Others">How many copies of other members; who they are is not said.</param>
/// <param name="OthersSize">Outline and height of the largest of those; null where there are none.</param>
public sealed record RoomNeeded(IReadOnlyList<HeldCopy> Own, int Others, string? OthersSize)
{
    private const double Um2PerCm2 = 1e8;

    /// <summary>Looks for it; null when nothing was found.</summary>
    public static RoomNeeded? Find(FiringRoom room, IReadOnlyList<HeldCopy> added, RoomSearch search, CancellationToken cancel)
    {
        if (room.Held.Count == 0 || added.Count == 0 || !room.Problem(added, Keep.All).TryGet(out var problem, out _)) return null;
        var wanted = added.Select(FiringRoom.NameOf).ToHashSet(StringComparer.Ordinal);
        var plan = room.CurrentPlan() with
        {
            Unplaced = [.. problem.Pieces.Where(p => wanted.Contains(p.Id))
                .Select(p => new UnplacedCopies(p.Id, [.. Enumerable.Range(0, p.Quantity)], UnplacedReason.NoPlaceFound))],
        };
        var made = RoomMaking.Find(problem, plan, wanted, new LoadOptions { Seed = search.Seed }, WorkBudget.OfIterations(search.MakeRoomTries, cancel));
        return made is null ? null : Of([.. made.Leaving.Select(c => room.Named(added, c.PieceId, c.Copy))], added[0].Frozen.MemberId);
    }

    /// <summary>The same in a sentence.</summary>
    public string Message
    {
        get
        {
            var own = Own.Count == 0 ? null : "your " + string.Join(" and your ", Own.Select(c => WareNames.NameOf(c.Frozen)));
            var others = Others == 0 ? null : $"{Others} of other members' pieces ({OthersSize})";
            return $"A place was found when {string.Join(" and ", new[] { own, others }.Where(x => x is not null))} stayed out; that it takes so much is "
                + $"not proven.";
        }
    }

    private static RoomNeeded Of(IReadOnlyList<HeldCopy> leaving, Id<Studios.Member> member)
    {
        var others = leaving.Where(c => c.Frozen.MemberId != member).ToList();
        var largest = others.OrderByDescending(c => FootprintMeasure.AreaUm2(c.Frozen.Footprint)).FirstOrDefault();
        return new RoomNeeded(
            [.. leaving.Where(c => c.Frozen.MemberId == member)], others.Count,
            largest is null
                ? null : $"the largest covers {FootprintMeasure.AreaUm2(largest.Frozen.Footprint) / Um2PerCm2:0} cm² and is {largest.Frozen.Height} high");
    }
}
