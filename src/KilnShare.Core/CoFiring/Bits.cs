using System.Numerics;

namespace KilnShare.Core.CoFiring;

/// <summary>Sets as words of bits.</summary>
internal static class Bits
{
    public static ulong[] Of(int size, IEnumerable<int> members)
    {
        var set = new ulong[(size + 63) / 64];
        foreach (var i in members) set[i >> 6] |= 1UL << (i & 63);
        return set;
    }

    public static bool Has(ulong[] set, int i) => ((set[i >> 6] >> (i & 63)) & 1) != 0;

    public static bool Any(ulong[] set)
    {
        foreach (var word in set)
            if (word != 0) return true;
        return false;
    }

    public static int CountBoth(ulong[] a, ulong[] b)
    {
        var count = 0;
        for (var w = 0; w < a.Length; w++) count += BitOperations.PopCount(a[w] & b[w]);
        return count;
    }

    public static bool Meet(ulong[] a, ulong[] b)
    {
        for (var w = 0; w < a.Length; w++)
            if ((a[w] & b[w]) != 0) return true;
        return false;
    }

    public static bool IsWithin(ulong[] inner, ulong[] outer)
    {
        for (var w = 0; w < inner.Length; w++)
            if ((inner[w] & ~outer[w]) != 0) return false;
        return true;
    }

    public static void Add(ulong[] set, ulong[] others)
    {
        for (var w = 0; w < set.Length; w++) set[w] |= others[w];
    }

    public static void Remove(ulong[] set, ulong[] others)
    {
        for (var w = 0; w < set.Length; w++) set[w] &= ~others[w];
    }
}
