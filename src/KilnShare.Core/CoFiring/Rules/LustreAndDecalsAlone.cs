using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Lustre and decals give off smoke and metal: nothing else is in the kiln with them.</summary>
internal sealed class LustreAndDecalsAlone() : LoadRule(
    "lustre-and-decals-alone", Reach.Pair, "Kiln makers' published manuals: lustre and decals vented until the smell ends, alone",
    "the sort of each raw layer", CoFiring.Touches.Others)
{
    public override (List<int> Givers, List<int> Takers)? Forbids(CheckedLoad load) =>
        (load.Where(i => Smokes(load.Pieces[i])), load.Where(i => !Smokes(load.Pieces[i]) && !load.Pieces[i].HasRaw(GlazeKind.Enamel)));

    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        var (smoking, others) = Forbids(load)!.Value;
        if (smoking.Count == 0) yield break;
        if (others.Count > 0)
        {
            yield return Beside(
                load, smoking, others, Verdict.Incompatible,
                "Lustre and decals are fired with nothing else and vented until the smell ends: give that ware a firing of its own.");
        }

        var enamelled = load.Where(i => !Smokes(load.Pieces[i]) && load.Pieces[i].HasRaw(GlazeKind.Enamel));
        if (enamelled.Count > 0)
            yield return Beside(load, smoking, enamelled, Verdict.Caution, "The smoke can dull enamel: keep shelves between them, vent well, or fire apart.");
    }

    private static bool Smokes(Ware ware) => ware.HasRaw(GlazeKind.Lustre) || ware.HasRaw(GlazeKind.Decal);

    /// <summary>What of the two is really on them.</summary>
    internal static string Coats(CheckedLoad load, List<int> smoking) =>
        (smoking.Exists(i => load.Pieces[i].HasRaw(GlazeKind.Lustre)), smoking.Exists(i => load.Pieces[i].HasRaw(GlazeKind.Decal))) switch
        {
            (true, true) => "lustre and decals",
            (true, false) => "lustre",
            _ => "decals",
        };

    private Finding Beside(CheckedLoad load, List<int> smoking, List<int> others, Verdict verdict, string then)
    {
        string[] givers = load.Ids(smoking), takers = load.Ids(others);
        return Say(
            [.. givers, .. takers], CoFiring.Touches.Others, verdict,
            $"{Names.Of(givers)} {(givers.Length == 1 ? "carries" : "carry")} {Coats(load, smoking)} and {(givers.Length == 1 ? "gives" : "give")} off smoke "
                + $"and metal fume over {Names.Of(takers)}. {then}",
            [Cure.Elsewhere(givers, FiringKind.Overglaze, load.Firing.Cone, load.Firing.Atmosphere)], ("lustreOrDecals", givers), ("beside", takers)) with
        { Asks = verdict == Verdict.Caution ? load.AsksBetween(smoking, others) : Asks.Nobody };
    }
}
