namespace KilnShare.Core.Loading;

/// <content>Levels may rise into what height is left over.</content>
internal sealed partial class Neighbourhood
{
    private (Pile Of, Pile Raised)? last;

    // The same pile; ware on each level may be as tall as it could be while the other levels stay as high as they are.
    private Pile Raised(Pile pile)
    {
        if (last is { } known && ReferenceEquals(known.Of, pile)) return known.Raised;
        last = (pile, Raise(pile));
        return last.Value.Raised;
    }

    // Keep-outs and half shelves were looked at for one height alone.
    private Pile Raise(Pile pile)
    {
        if (setting.HasKeepOuts || pile.Levels.Exists(l => l.Halves.Count > 0) || Elevations.Of(setting, pile) is not { } lie) return pile;
        var levels = new List<Level>(pile.Levels.Count);
        for (var i = 0; i < pile.Levels.Count; i++) levels.Add(pile.Levels[i].Under(RoomOver(pile, lie, i)));
        return new Pile(pile.Design, levels, pile.Pool, pile.Kept);
    }

    private long RoomOver(Pile pile, Elevation lie, int level)
    {
        var floor = lie.Undersides[level] + pile.Levels[level].Deck.Thickness;
        if (level + 1 == pile.Levels.Count) return setting.Lid - floor;
        var present = lie.Undersides[level + 1] - floor;
        var clear = present + setting.Lid - lie.Top;
        return (setting.FromStock ? setting.Stock.AtMost(clear) ?? present : clear) - setting.Headroom;
    }
}
