namespace KilnShare.Core.Loading.Overlap;

/// <content>Which bodies are near each other, and how much their overlap weighs.</content>
internal sealed partial class Crowd
{
    private readonly Pairs roundPairs = new();
    private readonly Pairs roughPairs = new();
    private readonly double[] pairsMadeAt;
    private readonly int[] sweep;
    private readonly double skin;
    private readonly double widest;
    private readonly double mostOwed;
    private Dictionary<(int, int), double>? weights;
    private bool pairsAreStale = true;

    /// <summary>Every overlap weighs the same again.</summary>
    public void ResetWeights()
    {
        pairsAreStale |= weights is not null;
        weights = null;
    }

    private double WeightOf(int i, int j) =>
        weights is not null && weights.TryGetValue(i < j ? (i, j) : (j, i), out var weight) ? weight : 1;

    /// <summary>Lists the pairs that may meet before any member has moved by half the skin (Verlet 1967), swept from left to right.</summary>
    private void RefreshPairs(double[] v)
    {
        if (!pairsAreStale && !Moved(v)) return;
        Array.Copy(v, pairsMadeAt, turnAt);
        (roundPairs.Count, roughPairs.Count, pairsAreStale) = (0, 0, false);
        SortFromTheLeft(v);
        for (var a = 0; a < total; a++)
        {
            var i = sweep[a];
            var reachable = v[i] + bodies.Shapes[i].Bound + widest + mostOwed + skin;
            for (var b = a + 1; b < total && v[sweep[b]] < reachable; b++) PairUp(Math.Min(i, sweep[b]), Math.Max(i, sweep[b]), v);
        }
    }

    private void PairUp(int i, int j, double[] v)
    {
        if (i >= Count || (held[i] && held[j]) || !Matters(i, j)) return;
        var reach = bodies.Shapes[i].Bound + bodies.Shapes[j].Bound + Owed(i, j);
        var (dx, dy) = (v[i] - v[j], v[yAt + i] - v[yAt + j]);
        if ((dx * dx) + (dy * dy) < (reach + skin) * (reach + skin)) (round[i] && round[j] ? roundPairs : roughPairs).Add(i, j, reach, WeightOf(i, j));
    }

    // What was in order before is nearly in order now.
    private void SortFromTheLeft(double[] v)
    {
        for (var k = 1; k < total; k++)
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
        for (var i = 0; i < Count; i++)
        {
            var (dx, dy) = (v[i] - pairsMadeAt[i], v[yAt + i] - pairsMadeAt[yAt + i]);
            if ((dx * dx) + (dy * dy) > limit) return true;
        }

        return false;
    }

    /// <summary>Pairs of bodies in plain arrays.</summary>
    private sealed class Pairs
    {
        public int Count { get; set; }

        public int[] First { get; private set; } = new int[64];

        public int[] Second { get; private set; } = new int[64];

        /// <summary>Centres nearer than this may be too near, µm.</summary>
        public double[] Reach { get; private set; } = new double[64];

        public double[] Weight { get; private set; } = new double[64];

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
}
