
namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A layer of which nobody knows what is in it may hold lead.</summary>
internal sealed class UnlistedBesideFoodWare() : LoadRule(
    "unlisted-glaze-beside-food-ware", Reach.Pair, "What is not known is unknown; see lead-beside-food-ware",
    "what is in layers that are raw or melt again, and which ware is for food", CoFiring.Touches.Others)
{
    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        var (unlisted, food) = Pairs.Between(load.Where(i => load.AtWork(i).MayHoldMore), load.Where(i => load.Pieces[i].IsForFood));
        if (unlisted.Count == 0) yield break;
        string[] givers = load.Ids(unlisted), eaten = load.Ids(food);
        yield return Say(
            [.. givers.Union(eaten, StringComparer.Ordinal)], CoFiring.Touches.Others, Verdict.Unknown,
            $"What is in the glaze of {Names.Of(givers)} is not listed, so lead beside ware for food ({Names.Of(eaten)}) cannot be ruled out. "
            + "List what it contains (none, where the maker says so), or fire them apart.",
            [Cure.Elsewhere(givers, load.Firing.Kind, load.Firing.Cone, load.Firing.Atmosphere)], ("unlisted", givers), ("forFood", eaten));
    }
}
