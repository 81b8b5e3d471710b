namespace KilnShare.Core.Loading.Overlap;

/// <summary>Which bodies are near each other, and how much the overlap of each pair weighs.</summary>
internal sealed class NeighbourPairs
{
    private readonly OverlapModel model;
    private readonly double[] madeAt;
    private readonly int[] sweep;
    private readonly double skin;
    private readonly double widest;
    private Dictionary<(int, int), double>? weights;
    private bool weightsChanged;

    public NeighbourPairs(OverlapModel model)
    {
        this.model = model;
        (madeAt, sweep) = (new double[model.TurnAt], [.. Enumerable.Range(0, model.Total)]);
        skin = model.Count == 0 ? 0 : OverlapTuning.Skin * Enumerable.Range(0, model.Count).Average(i => model[i].Shape.Bound);
        widest = model.Total == 0 ? 0 : model.Bodies.Shapes.Max(s => s.Bound);
    }

    /// <summary>Pairs of two discs.</summary>
    public PairList Round { get; } = new();

    /// <summary>Pairs of which one at least has corners.</summary>
    public PairList Rough { get; } = new();

    /// <summary>Every overlap weighs the same again.</summary>
    public void ResetWeights()
    {
        weightsChanged |= weights is not null;
        weights = null;
    }

    /// <summary>The weight of a pair; 1 where it was never raised.</summary>
    public double WeightOf(int i, int j) =>
        weights is not null && weights.TryGetValue(i < j ? (i, j) : (j, i), out var weight) ? weight : 1;

    /// <summary>Gives pairs, the lower index first, other weights.</summary>
    public void Weigh(IEnumerable<(int I, int J, double Weight)> pairs)
    {
        weights ??= [];
        foreach (var (i, j, weight) in pairs) weights[(i, j)] = weight;
        weightsChanged = true;
    }

    /// <summary>Lists the pairs that may meet before any item has moved by half the skin (Verlet 1967), swept from left to right.</summary>
    public void Refresh(double[] v)
    {
        if (!model.HasJumped && !weightsChanged && !Moved(v)) return;
        Array.Copy(v, madeAt, model.TurnAt);
        (Round.Count, Rough.Count, model.HasJumped, weightsChanged) = (0, 0, false, false);
        SortFromTheLeft(v);
        for (var a = 0; a < model.Total; a++)
        {
            var i = sweep[a];
            var reachable = v[i] + model.Bodies.Shapes[i].Bound + widest + model.MostOwed + skin;
            for (var b = a + 1; b < model.Total && v[sweep[b]] < reachable; b++) PairUp(Math.Min(i, sweep[b]), Math.Max(i, sweep[b]), v);
        }
    }

    private void PairUp(int i, int j, double[] v)
    {
        if (i >= model.Count || (model.IsHeld[i] && model.IsHeld[j]) || !model.Matters(i, j)) return;
        var reach = model.Bodies.Shapes[i].Bound + model.Bodies.Shapes[j].Bound + model.Owed(i, j);
        var (dx, dy) = (v[i] - v[j], v[model.YAt + i] - v[model.YAt + j]);
        if ((dx * dx) + (dy * dy) < (reach + skin) * (reach + skin)) (model.IsRound[i] && model.IsRound[j] ? Round : Rough).Add(i, j, reach, WeightOf(i, j));
    }

    // What was in order before is nearly in order now.
    private void SortFromTheLeft(double[] v)
    {
        for (var k = 1; k < model.Total; k++)
        {
            var i = sweep[k];
            var at = k;
            for (; at > 0 && v[sweep[at - 1]] > v[i]; at--) sweep[at] = sweep[at - 1];
            sweep[at] = i;
        }
    }

    private bool Moved(double[] v)
    {
        var limit = skin * skin / 4;
        for (var i = 0; i < model.Count; i++)
        {
            var (dx, dy) = (v[i] - madeAt[i], v[model.YAt + i] - madeAt[model.YAt + i]);
            if ((dx * dx) + (dy * dy) > limit) return true;
        }

        return false;
    }
}

/// <summary>Pairs of bodies in plain arrays.</summary>
internal sealed class PairList
{
    private const int FirstLength = 64;

    public int Count { get; set; }

    public int[] First { get; private set; } = new int[FirstLength];

    public int[] Second { get; private set; } = new int[FirstLength];

    /// <summary>Centres nearer than this may be too near, µm.</summary>
    public double[] Reach { get; private set; } = new double[FirstLength];

    public double[] Weight { get; private set; } = new double[FirstLength];

    public void Add(int i, int j, double reach, double weight)
    {
        if (Count == First.Length) Grow(2 * Count);
        (First[Count], Second[Count], Reach[Count], Weight[Count]) = (i, j, reach, weight);
        Count++;
    }

    public IEnumerable<(int I, int J)> List() => Enumerable.Range(0, Count).Select(p => (First[p], Second[p]));

    private void Grow(int length)
    {
        var (first, second, reach, weight) = (First, Second, Reach, Weight);
        Array.Resize(ref first, length);
        Array.Resize(ref second, length);
        Array.Resize(ref reach, length);
        Array.Resize(ref weight, length);
        (First, Second, Reach, Weight) = (first, second, reach, weight);
    }
}
