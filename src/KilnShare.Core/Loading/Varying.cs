using System.Numerics;

namespace KilnShare.Core.Loading;

/// <content>Changes for a search that goes on from what is a little lighter, and for beginning another.</content>
internal sealed partial class Neighbourhood
{
    // What is lost as often as not where something is gone on from that is lighter, as a part of the weight: by a small change, by a larger one.
    private const double SmallLoss = 0.00013;
    private const double LargeLoss = 0.0003;

    // Of a thousand changes; what is refilled is the rest.
    private const int Swaps = 800;
    private const int Hops = 1;
    private const int Squeezes = 10;
    private const int Replacements = 38;

    // Changes by which new levels are improved before they are compared with what has been improved for long.
    private const int Polishes = 100;

    /// <summary>True where one piece in another's stead may be a gain, and ware is best pushed about.</summary>
    public bool MayVary => !mostlyBoxes && !fromStart && weightsDiffer;

    /// <summary>
    /// A pile that differs by one change and may be gone on from; null where the change drawn does not go, or costs too much
    /// (simulated annealing at one temperature: Kirkpatrick, Gelatt and Vecchi 1983).
    /// </summary>
    public Pile? Varied(Pile pile)
    {
        var draw = dice.Below(1000);
        if (draw < Swaps) return Swapped(Raised(pile), AnyLoss(pile, SmallLoss));
        var least = pile.Weight - AnyLoss(pile, LargeLoss);
        return Changed(Raised(pile), draw - Swaps) is { } changed && changed.Weight >= least ? changed : null;
    }

    private Pile? Changed(Pile pile, int draw)
    {
        if (draw < Hops) return Hopped(pile);
        if (draw < Hops + Squeezes) return Squeezed(pile);
        return draw < Hops + Squeezes + Replacements ? Replaced(pile) : Refilled(pile);
    }

    // Each further step of so much is half as likely; the same on every machine, which a logarithm may not be.
    private long AnyLoss(Pile pile, double step) => (long)((BitOperations.LeadingZeroCount(dice.Next()) + dice.Unit()) * step * pile.Weight);

    /// <summary>All levels built otherwise, but for what must stay.</summary>
    public Pile Anew(Pile pile)
    {
        var trial = pile.Copy();
        while (trial.Levels.Count > 0) TakeOut(trial, trial.Levels.Count - 1);
        if (pile.Kept is null) trial = new Pile(setting.Designs[dice.Below(setting.Designs.Count)], [], trial.Pool);
        Build(trial);
        return Improved(trial);
    }

    /// <summary>One to three levels built otherwise.</summary>
    public Pile WithOtherLevels(Pile pile)
    {
        var trial = pile.Copy();
        TakeOutSome(trial, Math.Min(trial.Levels.Count, 1 + dice.Below(3)));
        Build(trial);
        return Improved(trial);
    }

    // By changes that cost nothing.
    private Pile Improved(Pile pile)
    {
        for (var i = 0; i < Polishes && !meter.Stop && !pile.Pool.IsEmpty; i++)
        {
            meter.Tick();
            var from = Raised(pile);
            if ((dice.Below(1000) < Swaps ? Swapped(from, 0) : Refilled(from)) is { } changed && changed.Weight >= pile.Weight) pile = changed;
        }

        return pile;
    }
}
