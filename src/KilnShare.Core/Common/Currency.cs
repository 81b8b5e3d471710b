namespace KilnShare.Core.Common;

/// <summary>A currency by its ISO 4217 code, with the number of its minor digits.</summary>
/// <remarks>
/// Source: ISO 4217, list one (currencies and funds in use) as published on 25 June 2024, and the Caribbean guilder (XCG), which came in 2025 (from memory).
/// Most have two minor digits; the exceptions are listed here. Metals, units of account and test codes of that list are no money to be charged in.
/// </remarks>
public readonly record struct Currency
{
    private static readonly HashSet<string> NoMinorUnit = new(StringComparer.Ordinal)
    {
        "BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV", "XAF", "XOF", "XPF",
    };

    private static readonly HashSet<string> ThreeMinorDigits = new(StringComparer.Ordinal) { "BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND" };

    private const string ActiveCodes =
        """
        AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE CHF CHW CLF CLP CNY COP
        COU CRC CUC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF GTQ GYD HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD
        JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO
        NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND
        TOP TRY TTD TWD TZS UAH UGX USD USN UYI UYU UYW UZS VED VES VND VUV WST XAF XCD XCG XOF XPF YER ZAR ZMW ZWG
        """;

    private static readonly HashSet<string> Active = [.. ActiveCodes.Split([' ', '\n', '\r'], StringSplitOptions.RemoveEmptyEntries)];

    private Currency(string code) => Code = code;

    /// <summary>Three capital letters.</summary>
    public string Code { get; }

    /// <summary>True for money that is in use; what was stored in another currency stays readable.</summary>
    public bool IsActive => Active.Contains(Code);

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
