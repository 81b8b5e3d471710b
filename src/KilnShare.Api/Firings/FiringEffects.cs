using KilnShare.Core.Bookings;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Firings;

/// <summary>What a firing did to the ware that really went in.</summary>
internal static class FiringEffects
{
    /// <summary>Moves every copy of the real load on along its route.</summary>
    public static async Task Apply(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        var placed = await db.Set<LoadItem>().AsNoTracking()
            .Where(i => i.StudioId == firing.StudioId && i.FiringId == firing.Id && i.Fate == LoadFate.Placed).ToListAsync(cancellation);
        var pieceIds = placed.Select(i => i.PieceId).Distinct().ToList();
        var copies = await db.Set<PieceCopy>().Where(c => c.StudioId == firing.StudioId && pieceIds.Contains(c.PieceId)).ToListAsync(cancellation);
        foreach (var item in placed)
        {
            var copy = copies.Single(c => c.PieceId == item.PieceId && c.Copy == item.Copy);
            copy.MoveOn(firing.Aim.Cone, StageAfter(firing.Aim.Kind, copy.Stage), item.Frozen.Ware.Layers.Count);
        }
    }

    /// <summary>The stage that a kind of firing leaves behind; overglaze and further glaze firings leave ware glazed.</summary>
    private static Stage StageAfter(FiringKind kind, Stage before) => kind switch
    {
        FiringKind.Bisque => Stage.Bisque,
        FiringKind.UnderglazeSet => before == Stage.Greenware ? Stage.Bisque : before,
        _ => Stage.Glazed,
    };
}
