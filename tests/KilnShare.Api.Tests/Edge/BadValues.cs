namespace KilnShare.Api.Tests.Edge;

/// <summary>Values that some field does not take, as JSON texts. The list follows the numbers, texts and times that break services most often.</summary>
internal static class BadValues
{
    /// <summary>For every field.</summary>
    public static readonly string[] Any =
    [
        "-1", "-0", "0", "2147483648", "9007199254740993", "9223372036854775808", "1e400", "-1e400", "1e-400", "1e2", "0.100000000000000000000000000001",
            "99999999999999999999999999999",
        "\"5\"", "\"NaN\"", "\"Infinity\"", "true", "null", "[]", "{}", "[null]", "[[]]", "{\"x\":1}", "\"\"", "\"Glaze\"",
            "\"00000000-0000-0000-0000-000000000000\"",
        "\"2026-03-14T09:30:00\"", "\"1999-12-31T23:59:59Z\"", "\"2100-01-01T00:00:00Z\"", "\"2026-03-14T24:00:00Z\"", "\"2026-02-30T10:00:00Z\"",
            "\"9999-12-31T23:59:59+14:00\"",
    ];

    /// <summary>For fields that are text: whatever they are, these are refused.</summary>
    public static readonly string[] Text =
    [
        "\"a\\u0000b\"", "\"a\\u0007b\"", "\"a\\u0085b\"", "\"\\u202eabc\"", "\"\\u2066abc\"", "\"\\u200b\"", "\"\\u00ad\"", "\"\\u2028\"", "\"\\ud800\"",
            "\"\\udc00a\"", "\" \"", "\" a\"",
        $"\"a{string.Concat(Enumerable.Repeat("\\u0301", 1000))}\"", $"\"{new string('a', 100_000)}\"", "\"\\uffff\"",
    ];

    /// <summary>Never taken, whatever the field.</summary>
    public static readonly HashSet<string> Never = new(
        StringComparer.Ordinal) { "1e400", "-1e400", "99999999999999999999999999999", "\"\\ud800\"", "\"\\udc00a\"", "{\"x\":1}", "[[]]" };
}
