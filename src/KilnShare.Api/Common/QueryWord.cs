namespace KilnShare.Api.Common;

/// <summary>An enum in a query by its word in JSON; the framework would take its C# name or its number.</summary>
public readonly record struct QueryWord<T>(T Value) : IParsable<QueryWord<T>>
    where T : struct, Enum
{
    /// <inheritdoc/>
    public static QueryWord<T> Parse(string s, IFormatProvider? provider) => TryParse(s, provider, out var word) ? word : throw new FormatException();

    /// <inheritdoc/>
    public static bool TryParse(string? s, IFormatProvider? provider, out QueryWord<T> result)
    {
        var found = EnumWord<T>.TryParse(s, out var value);
        result = new QueryWord<T>(value);
        return found;
    }
}
