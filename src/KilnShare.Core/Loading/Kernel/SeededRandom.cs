namespace KilnShare.Core.Loading.Kernel;

/// <summary>Random numbers from a seed, the same on every machine (splitmix64, Steele, Lea and Flood 2014).</summary>
internal sealed class SeededRandom(ulong seed)
{
    private ulong state = seed;

    public ulong Next()
    {
        unchecked
        {
            state += 0x9E3779B97F4A7C15;
            var z = state;
            z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
            return z ^ (z >> 31);
        }
    }

    /// <summary>From 0 to below 1.</summary>
    public double Unit() => (Next() >> 11) * (1.0 / (1UL << 53));

    /// <summary>From 0 to below <paramref name="count"/>.</summary>
    public int Below(int count) => (int)(Next() % (ulong)count);

    public double Between(double low, double high) => low + ((high - low) * Unit());

    public void Shuffle<T>(List<T> list)
    {
        for (var i = list.Count - 1; i > 0; i--)
        {
            var j = Below(i + 1);
            (list[i], list[j]) = (list[j], list[i]);
        }
    }
}
