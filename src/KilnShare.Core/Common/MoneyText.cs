using System.Globalization;

namespace KilnShare.Core.Common;

/// <summary>Whole minor units as people and spreadsheets read them.</summary>
public static class MoneyText
{
    /// <summary>The amount in major units with all of the currency's digits, a point before them and no separators: <c>-12.30</c>.</summary>
    public static string Of(Int128 minor, Currency currency)
    {
        var digits = currency.MinorDigits;
        var text = Int128.Abs(minor).ToString(CultureInfo.InvariantCulture).PadLeft(digits + 1, '0');
        var shown = digits == 0 ? text : text[..^digits] + "." + text[^digits..];
        return minor < 0 ? "-" + shown : shown;
    }
}
