namespace KilnShare.Core.Common;

/// <summary>A currency by its ISO 4217 code, with the number of its minor digits.</summary>
/// <remarks>Source: ISO 4217, table A.1 (from memory): most currencies have two minor digits; the exceptions are listed here.</remarks>
public readonly record struct Currency
{
    private static readonly HashSet<string> NoMinorUnit = new(StringComparer.Ordinal)
    {
        "BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV", "XAF", "XOF", "XPF",
    };

    private static readonly HashSet<string> ThreeMinorDigits = new(StringComparer.Ordinal) { "BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND" };

    private Currency(string code) => Code = code;

    /// <summary>Three capital letters.</summary>
    public string Code { get; }

    /// <summary>How many decimal digits the minor unit has: 0, 2, 3 or 4.</summary>
    public int MinorDigits => Code switch
    {
        "CLF" or "UYW" => 4,
        _ when NoMinorUnit.Contains(Code) => 0,
        _ when ThreeMinorDigits.Contains(Code) => 3,
        _ => 2,
    };

    /// <summary>The currency of that code, or null when it is not three capital letters.</summary>
    public static Currency? Parse(string? code) =>
        code is { Length: 3 } && code.All(char.IsAsciiLetterUpper) ? new Currency(code) : null;

    /// <summary>The code.</summary>
    public override string ToString() => Code ?? "";
}
