using KilnShare.Core.Cones;
using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring;

/// <summary>A firing and the ware proposed for it, with what several rules ask of them worked out once.</summary>
internal sealed class CheckedLoad
{
    private readonly ConeBound[][] bounds;
    private readonly SubstanceSet[] atWork;

    public CheckedLoad(FiringPlan firing, IReadOnlyList<Ware> pieces, EvidenceBook evidence)
    {
        Firing = firing;
        Pieces = pieces;
        Evidence = evidence;
        bounds = new ConeBound[pieces.Count][];
        atWork = new SubstanceSet[pieces.Count];
        Window = ConeSpan.All;
        var named = new HashSet<ConeSeries>();
        for (var i = 0; i < pieces.Count; i++)
        {
            bounds[i] = ConeBounds.Of(firing.Kind, pieces[i]);
            atWork[i] = SubstanceSet.AtWork(firing, pieces[i]);
            Window = Window.And(ConeBounds.Window(firing.Series, bounds[i]));
            foreach (var bound in bounds[i])
                if (bound.Range.Series is { } series) named.Add(series);
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
    /// A raw layer is taken to melt; a fired one from the bottom of its range on, and where its range is of another series, since
    /// it cannot be told.
    /// </summary>
    public static bool Melts(FiringPlan firing, Layer layer) =>
        layer.IsRaw || (layer.Glaze.Cones.Series is { } series && series != firing.Series) || firing.Cone >= layer.Glaze.Cones.From;
}
