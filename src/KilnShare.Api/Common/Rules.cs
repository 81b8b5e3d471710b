using System.Globalization;
using System.Text;
using FluentValidation;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;

namespace KilnShare.Api.Common;

/// <summary>Rules that many validators share.</summary>
internal static class Rules
{
    /// <summary>A length within limits.</summary>
    public static IRuleBuilderOptions<T, Length> Within<T>(this IRuleBuilder<T, Length> rule, Length least, Length most) =>
        rule.Limit(OfLength(least, most), l => l >= least && l <= most, $"Takes a length from {least} to {most}.");

    /// <summary>The same where it may be absent.</summary>
    public static IRuleBuilderOptions<T, Length?> Within<T>(this IRuleBuilder<T, Length?> rule, Length least, Length most) =>
        rule.Limit(OfLength(least, most), l => l is null || (l >= least && l <= most), $"Takes a length from {least} to {most}.");

    /// <summary>A decimal within limits and with so many decimals at most.</summary>
    public static IRuleBuilderOptions<T, decimal> Within<T>(this IRuleBuilder<T, decimal> rule, decimal least, decimal most, int decimals) =>
        rule.Limit(OfNumber(least, most, decimals), d => IsWithin(d, least, most, decimals), NumberWords(least, most, decimals));

    /// <summary>The same where it may be absent.</summary>
    public static IRuleBuilderOptions<T, decimal?> Within<T>(this IRuleBuilder<T, decimal?> rule, decimal least, decimal most, int decimals) =>
        rule.Limit(OfNumber(least, most, decimals), d => d is null || IsWithin(d.Value, least, most, decimals), NumberWords(least, most, decimals));

    /// <summary>A whole number within limits.</summary>
    public static IRuleBuilderOptions<T, int> Within<T>(this IRuleBuilder<T, int> rule, int least, int most) =>
        rule.Limit(OfNumber(least, most, 0), n => n >= least && n <= most, NumberWords(least, most, 0));

    /// <summary>A whole number within limits.</summary>
    public static IRuleBuilderOptions<T, long> Within<T>(this IRuleBuilder<T, long> rule, long least, long most) =>
        rule.Limit(OfNumber(least, most, 0), n => n >= least && n <= most, NumberWords(least, most, 0));

    /// <summary>A name: one clean line that shows something.</summary>
    public static IRuleBuilderOptions<T, string> Name<T>(this IRuleBuilder<T, string> rule) => rule.Line(StudioLimits.MaxName);

    /// <summary>One clean line of so many characters at most.</summary>
    public static IRuleBuilderOptions<T, string> Line<T>(this IRuleBuilder<T, string> rule, int longest) =>
        rule.Limit(OfText(longest), s => IsClean(s, longest, lines: false), LineWords(longest)).WithErrorCode("request.text");

    /// <summary>One clean line, or nothing.</summary>
    public static IRuleBuilderOptions<T, string?> OptionalLine<T>(this IRuleBuilder<T, string?> rule, int longest) =>
        rule.Limit(OfText(longest), s => s is null || IsClean(s, longest, lines: false), LineWords(longest)).WithErrorCode("request.text");

    /// <summary>One clean line, or an empty one.</summary>
    public static IRuleBuilderOptions<T, string> LineOrEmpty<T>(this IRuleBuilder<T, string> rule, int longest) =>
        rule.Limit(new FieldLimit { Longest = longest }, s => s.Length == 0 || IsClean(s, longest, lines: false), LineWords(longest))
            .WithErrorCode("request.text");

    /// <summary>A clean text of several lines, or nothing.</summary>
    public static IRuleBuilderOptions<T, string?> Note<T>(this IRuleBuilder<T, string?> rule) => rule
        .Limit(
            OfText(StudioLimits.MaxNote), s => s is null || IsClean(s, StudioLimits.MaxNote, lines: true),
            $"Takes 1 to {StudioLimits.MaxNote} characters, without control or direction characters, and with something to see.")
        .WithErrorCode("request.text");

    /// <summary>A list of so many at most.</summary>
    public static IRuleBuilderOptions<T, IReadOnlyList<TItem>?> AtMost<T, TItem>(this IRuleBuilder<T, IReadOnlyList<TItem>?> rule, int most) =>
        rule.Limit(new FieldLimit { MostItems = most }, l => l is null || l.Count <= most, $"Takes {most} entries at most.").WithErrorCode("request.too-many");

    /// <summary>A price of a unit as text, in major units.</summary>
    public static IRuleBuilderOptions<T, string> Price<T>(this IRuleBuilder<T, string> rule, decimal most) => rule
        .Limit(
            new FieldLimit { Longest = Prices.Longest, Pattern = Prices.Pattern }, p => Prices.TryRead(p, out var price) && price <= most,
            $"Takes a price as text in major units, up to {most}, with six decimals at most, such as \"0.3120\".")
        .WithErrorCode("request.not-a-price");

    /// <summary>An ISO 4217 code.</summary>
    public static IRuleBuilderOptions<T, string> CurrencyCode<T>(this IRuleBuilder<T, string> rule) => rule
        .Limit(
            new FieldLimit { Shortest = 3, Longest = 3, Pattern = "^[A-Z]{3}$" }, c => Currency.Parse(c) is { IsActive: true },
            "Takes the ISO 4217 code of money in use, three capital letters, such as EUR.")
        .WithErrorCode("studios.no-such-currency");

    private static IRuleBuilderOptions<T, TProperty> Limit<T, TProperty>(
        this IRuleBuilder<T, TProperty> rule, FieldLimit limit, Func<TProperty, bool> takes, string message) =>
        rule.SetValidator(new LimitRule<T, TProperty>(limit, takes, message));

    private static FieldLimit OfLength(Length least, Length most) => new() { Least = least.Mm, Most = most.Mm };

    private static FieldLimit OfNumber(decimal least, decimal most, int decimals) => new() { Least = least, Most = most, Decimals = decimals };

    private static FieldLimit OfText(int longest) => new() { Shortest = 1, Longest = longest };

    private static bool IsWithin(decimal number, decimal least, decimal most, int decimals) =>
        number >= least && number <= most && HasDecimals(number, decimals);

    private static string NumberWords(decimal least, decimal most, int decimals) => decimals == 0
        ? $"Takes a whole number from {least} to {most}." : $"Takes a number from {least} to {most} with {decimals} decimals at most.";

    private static string LineWords(int longest) =>
        $"Takes 1 to {longest} characters on one line, without control or direction characters, and with something to see.";

    /// <summary>True when no more than so many decimals are used.</summary>
    public static bool HasDecimals(decimal number, int decimals) => decimal.Round(number, decimals) == number;

    /// <summary>
    /// True for text that shows something and hides nothing: no control, direction-changing or unassigned characters, no lone surrogates,
    /// no tower of combining marks, composed (NFC).
    /// </summary>
    public static bool IsClean(string text, int longest, bool lines)
    {
        var (count, marks, seen) = (0, 0, false);
        for (var at = 0; at < text.Length;)
        {
            if (Rune.DecodeFromUtf16(text.AsSpan(at), out var rune, out var used) != System.Buffers.OperationStatus.Done) return false;
            at += used;
            var category = Rune.GetUnicodeCategory(rune);
            var isBreak = lines && rune.Value is '\n' or '\r' or '\t';
            if (!isBreak && Hides(category)) return false;
            marks = category is UnicodeCategory.NonSpacingMark or UnicodeCategory.EnclosingMark ? marks + 1 : 0;
            seen |= !Rune.IsWhiteSpace(rune) && category != UnicodeCategory.NonSpacingMark;
            if (++count > longest || marks > MostMarks) return false;
        }

        return seen && text.Trim().Length == text.Length;
    }

    private const int MostMarks = 4;

    private static bool Hides(UnicodeCategory category) => category is UnicodeCategory.Control or UnicodeCategory.Format or UnicodeCategory.Surrogate
        or UnicodeCategory.OtherNotAssigned or UnicodeCategory.PrivateUse or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator;
}
