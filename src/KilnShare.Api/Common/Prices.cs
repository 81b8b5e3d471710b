using System.Globalization;

namespace KilnShare.Api.Common;

/// <summary>Prices of a unit: decimal strings in major units, six places at most.</summary>
public static class Prices
{
    /// <summary>Most characters of a price.</summary>
    public const int Longest = 24;

    /// <summary>How a price looks.</summary>
    public const string Pattern = "^[0-9]+([.][0-9]{1,6})?$";

    private const int Places = 6;

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
