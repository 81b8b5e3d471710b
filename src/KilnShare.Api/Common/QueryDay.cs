using System.Diagnostics.CodeAnalysis;
using NodaTime;
using NodaTime.Text;

namespace KilnShare.Api.Common;

/// <summary>A day in a query, as 2027-03-14; the studio's zone says when it begins.</summary>
public readonly record struct QueryDay(LocalDate Date) : IParsable<QueryDay>
{
    /// <inheritdoc/>
    public static QueryDay Parse(string s, IFormatProvider? provider) => TryParse(s, provider, out var day) ? day : throw new FormatException();

    /// <inheritdoc/>
    public static bool TryParse([NotNullWhen(true)] string? s, IFormatProvider? provider, out QueryDay result)
    {
        var isRead = LocalDatePattern.Iso.Parse(s ?? "").TryGetValue(default, out var date) && date.Year is > 0 and < 9999;
        result = new QueryDay(date);
        return isRead;
    }

    /// <summary>The first moment of the day.</summary>
    public Instant Begins(DateTimeZone zone) => zone.AtStartOfDay(Date).ToInstant();
}
