using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Search;

/// <summary>A move: what stands near one place on a shelf is taken off, and the shelf is filled anew (large neighbourhood search, Shaw 1998).</summary>
internal sealed class DestroyAndRepair(InstanceContext context, LevelBuilder builder, MoveBasis basis)
{
    /// <summary>The plan with one shelf filled anew in part, of a level from a first one up; null where that does not go.</summary>
    public PartialPlan? Try(PartialPlan plan, int first = 0)
    {
        var random = context.Random;
        var trial = plan.Copy();
        if (basis.AnyShelves(trial, first) is not { } trays) return null;
        var tray = trays[random.Below(trays.Count)];
        var near = ShelfClearing.NearOnePlace(tray, random);
        if (near.Count == 0) return null;
        var rectangles = near.TrueForAll(i => Insertion.IsRectangle(tray.PlacedItems[i].Item));
        List<int> taken = [.. near.Take(1 + random.Below(rectangles ? SearchTuning.MostRectanglesTaken : SearchTuning.MostTaken))];
        var hole = new Hole(
            Window.About(taken.Select(i => tray.PlacedItems[i])), SearchTuning.Roomier * taken.Sum(i => tray.PlacedItems[i].Item.Shape.Area));
        ShelfClearing.TakeOff(tray, taken, trial.Pool);
        builder.Filling.Fill(
            trays, trial.Pool, (Preference)(1 + random.Below(3)), SearchTuning.RefillNoise, context.Options.SearchRounds,
            rectangles && random.Below(1000) > 0 ? 0 : SearchTuning.RefillFailures, hole);
        return basis.Sound(trial);
    }
}
