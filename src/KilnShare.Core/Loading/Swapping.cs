namespace KilnShare.Core.Loading;

/// <content>One piece takes the place of another near it in size, on any level.</content>
internal sealed partial class Neighbourhood
{
    // By so much of the other's area a piece that takes a place may be larger or smaller.
    private const double MostLarger = 1.15;
    private const double MostSmaller = 0.7;

    // Pieces in one chain at most.
    private const int LongestChain = 3;

    private const int SwapRounds = 3;

    // One that waits takes a place, what stood there takes another's, until what is left over is light enough to wait (ejection chains, Glover 1996).
    private Pile? Swapped(Pile pile, long mostLoss)
    {
        if (AnyWaiting(pile.Pool) is not { } comes) return null;
        var trial = pile.Copy();
        var lightEnough = comes.Weight + mostLoss;
        trial.Pool.Waiting[comes.Index]--;
        for (var step = 1; step <= LongestChain; step++)
        {
            var ends = step == LongestChain || dice.Below(2) == 0;
            if (AnyPlaceFor(comes, trial, ends ? lightEnough : long.MaxValue) is not var (tray, i)) return null;
            var goes = tray.Standings[i].Lot;
            if (!building.Filling.TryInstead(tray, i, comes, SwapRounds)) return null;
            if (goes.Weight <= lightEnough)
            {
                trial.Pool.Waiting[goes.Index]++;
                return Sound(trial);
            }

            comes = goes;
        }

        return null;
    }

    // Each place that would do is as likely.
    private (Tray Tray, int Standing)? AnyPlaceFor(Lot comes, Pile pile, long mostWeight)
    {
        (Tray, int)? drawn = null;
        var found = 0;
        foreach (var level in pile.Levels)
        {
            foreach (var tray in level.Trays)
            {
                for (var i = 0; i < tray.Standings.Count && comes.Height <= tray.Room.Room; i++)
                {
                    if (MayGoFor(comes, tray.Standings[i], mostWeight) && dice.Below(++found) == 0) drawn = (tray, i);
                }
            }
        }

        return drawn;
    }

    private static bool MayGoFor(Lot comes, Standing goes, long mostWeight)
    {
        if (goes.Lot == comes || goes.Count > 1 || goes.Kept.Count > 0 || goes.Lot.Weight > mostWeight) return false;
        var ratio = comes.Shape.Area / goes.Lot.Shape.Area;
        return ratio is >= MostSmaller and <= MostLarger;
    }
}
