using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.CoFiring;

/// <summary>A firing and the ware proposed for it, with what several rules ask of them worked out once.</summary>
internal sealed class CheckedLoad
{
    private readonly ConeBound[][] bounds;
    private readonly SubstanceSet[] atWork;
    private readonly bool severalOwners;
    private readonly TemperatureHistory? schedule;
    private readonly Dictionary<(decimal? WallMm, Stage Stage), IReadOnlyList<SchedulePassing>> passings = [];

    public CheckedLoad(FiringPlan firing, IReadOnlyList<Ware> pieces, EvidenceBook evidence)
    {
        Firing = firing;
        Pieces = pieces;
        Evidence = evidence;
        bounds = new ConeBound[pieces.Count][];
        atWork = new SubstanceSet[pieces.Count];
        schedule = firing.Schedule is { } planned && planned.ToHistory().TryGet(out var history, out _) ? history : null;
        severalOwners = pieces.Select(piece => piece.Owner).Distinct(StringComparer.Ordinal).Skip(1).Any();
        Window = ConeSpan.All;
        var named = new HashSet<ConeSeries>();
        for (var i = 0; i < pieces.Count; i++)
        {
            bounds[i] = ConeBounds.Of(firing.Kind, pieces[i]);
            atWork[i] = SubstanceSet.AtWork(firing, pieces[i]);
            Window = Window.And(ConeBounds.Window(firing.Series, bounds[i]));
            foreach (var bound in bounds[i])
                if (bound.Range.Series is { } series && !bound.IsComparable(firing.Series)) named.Add(series);
        }

        OtherSeries = named.Count == 1 && !named.Contains(firing.Series) ? [new Cure(CureChange.FiringSeries, []) { Series = named.First() }] : [];
    }

    public FiringPlan Firing { get; }

    public IReadOnlyList<Ware> Pieces { get; }

    public EvidenceBook Evidence { get; }

    /// <summary>The cones that suit every piece.</summary>
    public ConeSpan Window { get; }

    /// <summary>Reading the firing by the one series that the ranges name, where they name one and it is another.</summary>
    public IReadOnlyList<Cure> OtherSeries { get; }

    public ReadOnlySpan<ConeBound> Bounds(int piece) => bounds[piece];

    /// <summary>The range of the body, where it is known and may be compared with this firing's cone.</summary>
    public ConeRange? BodyRange(int piece) => Pieces[piece].Clay.Cones is { } range && range.IsReadBy(Firing.Series) ? range : null;

    /// <summary>What the schedule passes too fast for ware of this wall, stage and dryness; empty where no schedule is named.</summary>
    public IReadOnlyList<SchedulePassing> UnkindPassings(Ware ware) => schedule is { } history
        ? PassingsOf(history, ware) : [];

    /// <summary>What is in the clay and in the layers that are raw or melt again.</summary>
    public SubstanceSet AtWork(int piece) => atWork[piece];

    /// <summary>The pieces of which something holds.</summary>
    public List<int> Where(Func<int, bool> holds)
    {
        var found = new List<int>();
        for (var i = 0; i < Pieces.Count; i++)
            if (holds(i)) found.Add(i);
        return found;
    }

    /// <summary>Ware of more than one member is in the load; pieces without a member belong to one further person.</summary>
    public bool HasOthersWare => severalOwners;

    /// <summary>Whose yes a harm from some pieces to others needs: the technician's where a giver has a taker of another member.</summary>
    public Asks AsksBetween(IReadOnlyList<int> givers, IReadOnlyList<int> takers) =>
        givers.Concat(takers).Select(i => Pieces[i].Owner).Distinct(StringComparer.Ordinal).Skip(1).Any() ? Asks.Technician : Asks.Member;

    /// <summary>The schedule holds long enough below the boiling of water to dry this wall.</summary>
    public bool DriesInTheKiln(Ware ware) =>
        schedule is { } history && ware.WallMm is { } wall && SchedulePassings.CandledHours(history) >= WareLimits.DryingHoldHours((double)wall);

    // Many pieces share wall, stage and dryness. Whether ware is dry is asked by a rule of its own.
    private IReadOnlyList<SchedulePassing> PassingsOf(TemperatureHistory history, Ware ware)
    {
        var key = (ware.WallMm, ware.Stage);
        if (passings.TryGetValue(key, out var known)) return known;
        var asked = new ScheduleWare((double?)ware.WallMm, ware.Stage, ware.Stage == Stage.Greenware ? Dryness.Dry : null);
        return passings[key] = [.. SchedulePassings.Of(history, asked).Where(passing => passing.Caution is not null)];
    }

    public string[] Ids(IEnumerable<int> pieces) => [.. pieces.Select(i => Pieces[i].Id)];

    /// <summary>Another cone that suits the whole load and the kiln, where there is one.</summary>
    public Cure[] OtherCone()
    {
        var within = Window.And(Firing.KilnSpan);
        return within.IsEmpty || within.Nearest(Firing.Cone) == Firing.Cone ? [] : [Cure.Fire(within.Nearest(Firing.Cone))];
    }

    /// <summary>The cone of this firing in words.</summary>
    public string ConeInWords => ConeText.With(Firing.Cone, Firing.Series);

    /// <summary>A cone of a range in words: of the range's own series, or this firing's where the range names none.</summary>
    public string InWords(Cone cone, ConeRange of) => ConeText.With(cone, of.Series ?? Firing.Series);
}

/// <summary>Which substances are there, and whether there may be more than is known.</summary>
internal readonly record struct SubstanceSet(int Bits, bool MayHoldMore)
{
    /// <summary>It is there, or a silent list leaves it open.</summary>
    public bool MayHave(Substance substance) => MayHoldMore || Has(substance);

    public bool Has(Substance substance) => (Bits & (1 << (int)substance)) != 0;

    public static SubstanceSet AtWork(FiringPlan firing, Ware ware)
    {
        var set = new SubstanceSet(Of(ware.Clay.Contains), false);
        foreach (var layer in ware.Layers)
            if (Melting.Melts(firing, layer))
                set = new SubstanceSet(set.Bits | Of(layer.Glaze.Contains), set.MayHoldMore || layer.Glaze.Contains is null);
        return set;
    }

    private static int Of(IReadOnlyList<Ingredient>? ingredients)
    {
        var bits = 0;
        for (var i = 0; i < (ingredients?.Count ?? 0); i++) bits |= 1 << (int)ingredients![i].What;
        return bits;
    }
}

/// <summary>Whether a layer is liquid in a firing.</summary>
internal static class Melting
{
    /// <summary>
    /// A raw layer is taken to melt; a fired one from the bottom of its range on, and where its range is not known or of another series,
    /// since it cannot be told.
    /// </summary>
    public static bool Melts(FiringPlan firing, Layer layer) =>
        layer.IsRaw || layer.Glaze.Cones is not { } range || !range.IsReadBy(firing.Series) || firing.Cone >= range.From;
}
