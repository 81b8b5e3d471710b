namespace KilnShare.Core.CoFiring;

/// <summary>Lists of names in a sentence.</summary>
internal static class Names
{
    private const int Most = 5;

    /// <summary>An enumerated value as JSON writes it.</summary>
    public static string Camel(Enum value)
    {
        var name = value.ToString();
        return char.ToLowerInvariant(name[0]) + name[1..];
    }

    /// <summary>The first few, and how many more there are.</summary>
    public static string Of(IReadOnlyList<string> names) =>
        names.Count <= Most + 1 ? string.Join(", ", names) : $"{string.Join(", ", names.Take(Most))} and {names.Count - Most} more";
}
