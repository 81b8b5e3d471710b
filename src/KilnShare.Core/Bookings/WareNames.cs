namespace KilnShare.Core.Bookings;

/// <summary>Ware as people name it: by what it is and the sign under its foot.</summary>
public static class WareNames
{
    private const int Most = 3;

    /// <summary>The first few in a sentence, and how many pieces more there are.</summary>
    public static string Of(IReadOnlyList<HeldCopy> copies)
    {
        var names = copies.GroupBy(c => c.PieceId).Select(piece => NameOf(piece.First().Frozen)).Distinct(StringComparer.Ordinal).ToList();
        if (names.Count > Most) return $"{string.Join(", ", names.Take(Most))} and {names.Count - Most} more";
        return names.Count < 2 ? names.FirstOrDefault() ?? "the ware" : $"{string.Join(", ", names.SkipLast(1))} and {names[^1]}";
    }

    /// <summary>One copy of a piece, counted from 1 as people do; JSON counts from 0.</summary>
    public static string CopyOf(FrozenCopy frozen, int copy) => $"Copy {copy + 1} of {NameOf(frozen)}";

    /// <summary>So many copies of a piece, as "3 × mug (R)".</summary>
    public static string Several(FrozenCopy frozen, int copies) => copies == 1 ? NameOf(frozen) : $"{copies} × {NameOf(frozen)}";

    /// <summary>One piece.</summary>
    public static string NameOf(FrozenCopy frozen) => frozen.Ware is null ? frozen.Name : $"{frozen.Name} ({frozen.Mark ?? "no mark"})";
}
