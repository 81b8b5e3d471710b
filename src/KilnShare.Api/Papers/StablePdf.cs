using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;

namespace KilnShare.Api.Papers;

/// <summary>
/// Takes chance out of a PDF: the writer names its font's part and the document at random, so that no two papers of the same words were alike.
/// </summary>
internal static partial class StablePdf
{
    private const string FontTag = "KILNSH"; // six capitals, as the format wants before a plus

    private const int HexDigits = 32;
    private const int MillisecondsAllowed = 2_000;

    /// <summary>The same file with the names fixed; every byte stays in its place.</summary>
    public static byte[] Of(byte[] file)
    {
        var text = FontTags().Replace(Encoding.Latin1.GetString(file), FontTag + "+");
        var hash = Convert.ToHexStringLower(SHA256.HashData(Encoding.Latin1.GetBytes(Replace(text, new string('0', HexDigits)))));
        return Encoding.Latin1.GetBytes(Replace(text, hash[..HexDigits]));
    }

    private static string Replace(string text, string hex) =>
        Uuids().Replace(Ids().Replace(text, hex.ToUpperInvariant()), Guid.ParseExact(hex, "N").ToString("D"));

    [GeneratedRegex("(?<=/)[A-Z]{6}[+](?=DejaVu)", RegexOptions.CultureInvariant, MillisecondsAllowed)]
    private static partial Regex FontTags();

    [GeneratedRegex("(?<=/ID ?\\[ ?<|/ID ?\\[ ?<[0-9A-Fa-f]{32}> ?<)[0-9A-Fa-f]{32}(?=>)", RegexOptions.CultureInvariant, MillisecondsAllowed)]
    private static partial Regex Ids();

    [GeneratedRegex("(?<=<xmpMM:[A-Za-z]{1,20}>uuid:)[0-9a-f-]{36}", RegexOptions.CultureInvariant, MillisecondsAllowed)]
    private static partial Regex Uuids();
}
