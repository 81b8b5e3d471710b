namespace KilnShare.Core.Loading;

/// <content>One copy where another stood.</content>
internal sealed partial class Insertion
{
    /// <summary>Puts one copy where something stands, which is taken off; what else stands there may be moved. Where it fails only the taking off is done.</summary>
    public bool TryInstead(Tray tray, int standing, Lot lot, int rounds)
    {
        var goes = tray.Standings[standing];
        tray.RemoveAt(standing);
        if (lot.Height > tray.Room.Room || !HasArea(tray, lot)) return false;
        var crowd = CrowdOf(tray.Room, tray.Standings, lot, holdOthers: false);
        crowd.Set(crowd.Count - 1, goes.CentreX, goes.CentreY, lot.Piece.MayTurn ? goes.Turn * Turning.RadiansPerThousandth : 0);
        return crowd.Squeeze(rounds, options.DescentSteps, meter, dice) && Settle(tray, crowd, lot);
    }
}
