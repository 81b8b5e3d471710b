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
        rule.Must(l => l >= least && l <= most).WithMessage($"Takes a length from {least} to {most}.");

    /// <summary>A decimal within limits and with so many decimals at most.</summary>
    public static IRuleBuilderOptions<T, decimal> Within<T>(this IRuleBuilder<T, decimal> rule, decimal least, decimal most, int decimals) =>
        rule.Must(d => d >= least && d <= most && HasDecimals(d, decimals)).WithMessage($"Takes a number from {least} to {most} with {decimals} decimals at most.");

    /// <summary>The same where it may be absent.</summary>
    public static IRuleBuilderOptions<T, decimal?> Within<T>(this IRuleBuilder<T, decimal?> rule, decimal least, decimal most, int decimals) =>
        rule.Must(d => d is null || (d >= least && d <= most && HasDecimals(d.Value, decimals)))
            .WithMessage($"Takes a number from {least} to {most} with {decimals} decimals at most.");

    /// <summary>A name: one clean line that shows something.</summary>
    public static IRuleBuilderOptions<T, string> Name<T>(this IRuleBuilder<T, string> rule) => rule.Line(StudioLimits.MaxName);

    /// <summary>One clean line of so many characters at most.</summary>
    public static IRuleBuilderOptions<T, string> Line<T>(this IRuleBuilder<T, string> rule, int longest) =>
        rule.Must(s => IsClean(s, longest, lines: false)).WithErrorCode("request.text")
            .WithMessage($"Takes 1 to {longest} characters on one line, without control or direction characters, and with something to see.");

    /// <summary>One clean line, or nothing.</summary>
    public static IRuleBuilderOptions<T, string?> OptionalLine<T>(this IRuleBuilder<T, string?> rule, int longest) =>
        rule.Must(s => s is null || IsClean(s, longest, lines: false)).WithErrorCode("request.text")
            .WithMessage($"Takes 1 to {longest} characters on one line, without control or direction characters, and with something to see.");

    /// <summary>A clean text of several lines, or nothing.</summary>
    public static IRuleBuilderOptions<T, string?> Note<T>(this IRuleBuilder<T, string?> rule) =>
        rule.Must(s => s is null || IsClean(s, StudioLimits.MaxNote, lines: true)).WithErrorCode("request.text")
            .WithMessage($"Takes 1 to {StudioLimits.MaxNote} characters, without control or direction characters, and with something to see.");

    /// <summary>A list of so many at most.</summary>
    public static IRuleBuilderOptions<T, IReadOnlyList<TItem>?> AtMost<T, TItem>(this IRuleBuilder<T, IReadOnlyList<TItem>?> rule, int most) =>
        rule.Must(l => l is null || l.Count <= most).WithErrorCode("request.too-many").WithMessage($"Takes {most} entries at most.");

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
