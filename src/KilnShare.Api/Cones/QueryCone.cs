using KilnShare.Core.Cones;

namespace KilnShare.Api.Cones;

/// <summary>A cone in a query, as 6, 06 or 05.5.</summary>
public readonly record struct QueryCone(Cone Cone) : IParsable<QueryCone>
{
    /// <inheritdoc/>
    public static QueryCone Parse(string s, IFormatProvider? provider) => TryParse(s, provider, out var cone) ? cone : throw new FormatException();

    /// <inheritdoc/>
    public static bool TryParse(string? s, IFormatProvider? provider, out QueryCone result)
    {
        var isRead = Cone.TryParse(s, out var cone);
        result = new QueryCone(cone);
        return isRead;
    }
}
