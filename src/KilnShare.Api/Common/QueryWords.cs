namespace KilnShare.Api.Common;

/// <summary>Several words of an enum in a query, with commas between them; none where nothing stands behind the equals sign.</summary>
public readonly record struct QueryWords<T>(IReadOnlySet<T> Values) : IParsable<QueryWords<T>>
    where T : struct, Enum
{
    /// <inheritdoc/>
    public static QueryWords<T> Parse(string s, IFormatProvider? provider) => TryParse(s, provider, out var words) ? words : throw new FormatException();

    /// <inheritdoc/>
    public static bool TryParse(string? s, IFormatProvider? provider, out QueryWords<T> result)
    {
        var values = new HashSet<T>();
        result = new QueryWords<T>(values);
        if (s is null) return false;
        foreach (var word in s.Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries))
        {
            if (!EnumWord<T>.TryParse(word, out var value)) return false;
            values.Add(value);
        }

        return true;
    }
}
