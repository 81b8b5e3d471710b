using System.Security.Cryptography;
using System.Text;

namespace KilnShare.Core.Costs;

/// <summary>Who gets the odd unit among equals: by a hash nobody chooses, different from firing to firing.</summary>
public static class TieOrder
{
    /// <summary>
    /// The rank of each id, 0 first: by the SHA-256 of the seed, a line feed and the id, all UTF-8, compared byte by byte.
    /// The studio, which has no id, stands with an empty one.
    /// </summary>
    public static int[] Ranks(string tieSeed, IReadOnlyList<string?> ids)
    {
        var hashes = ids.Select(id => SHA256.HashData(Encoding.UTF8.GetBytes($"{tieSeed}\n{id}"))).ToArray();
        var order = Enumerable.Range(0, hashes.Length).ToArray();
        Array.Sort(order, (a, b) => hashes[a].AsSpan().SequenceCompareTo(hashes[b]));
        var ranks = new int[order.Length];
        for (var k = 0; k < order.Length; k++) ranks[order[k]] = k;
        return ranks;
    }
}
