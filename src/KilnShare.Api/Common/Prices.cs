using System.Globalization;

namespace KilnShare.Api.Common;

/// <summary>Prices of a unit: decimal strings in major units, six places at most.</summary>
public static class Prices
{
    private const int Places = 6;
    private const int Longest = 24;

    /// <summary>Reads a price that is not negative.</summary>
    public static bool TryRead(string? text, out decimal price)
    {
        price = 0;
        return text is { Length: > 0 and <= Longest } && char.IsAsciiDigit(text[0]) && char.IsAsciiDigit(text[^1])
            && decimal.TryParse(text, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out price) && Rules.HasDecimals(price, Places);
    }

    /// <summary>A price as text, without idle zeros.</summary>
    public static string Write(decimal price) => price.ToString("0.######", CultureInfo.InvariantCulture);
}
