using System.Text.RegularExpressions;

namespace KilnShare.Api.Tests.Common;

/// <summary>Looks at every refusal that any test of the service is given: it names things as people do.</summary>
internal static partial class PlainWords
{
    // Names that are written so.
    private static readonly string[] Proper = ["PostgreSQL", "KilnShare", "OpenAPI"];

    /// <summary>What of a refusal's sentence is not for people; null where all of it is.</summary>
    public static string? Fault(string detail)
    {
        if (IdPattern().Match(detail) is { Success: true } id) return $"names a thing by its id {id.Value}";
        if (InstantPattern().Match(detail) is { Success: true } instant) return $"says a time as a machine does, {instant.Value}";
        if (ListPattern().Match(detail) is { Success: true } list) return $"holds a raw list, {list.Value}";
        return TypePattern().Matches(detail).FirstOrDefault(t => !Proper.Contains(t.Value, StringComparer.Ordinal)) is { } type
            ? $"holds a name of the code, {type.Value}" : null;
    }

    /// <summary>Fails where a refusal says what is not for people.</summary>
    public static void Check(Reply reply)
    {
        if (reply.Code is null || !reply.Body.TryGetProperty("detail", out var detail)) return;
        if (Fault(detail.GetString()!) is { } fault) Assert.Fail($"The refusal {reply.Code} {fault}: {detail.GetString()}");
    }

    [GeneratedRegex("[0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{12}")]
    private static partial Regex IdPattern();

    [GeneratedRegex("(?<!such as )(?<!as )[0-9]{4}-[0-9]{2}-[0-9]{2}(T[0-9:.]+Z| [0-9:]+ UTC)")]
    private static partial Regex InstantPattern();

    [GeneratedRegex("\\[[^\\]]*,[^\\]]*\\]|System\\.")]
    private static partial Regex ListPattern();

    [GeneratedRegex("\\b[A-Z][a-z0-9]+([A-Z][a-z0-9]+)+\\b")]
    private static partial Regex TypePattern();
}
