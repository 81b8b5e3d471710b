using System.Text.RegularExpressions;

namespace KilnShare.Core.Tests.Architecture;

/// <summary>A class has one subject and one file. What is spread over several is a long file in disguise.</summary>
public sealed partial class PartialTests
{
    [Fact]
    public void No_class_of_Core_is_spread_over_several_files() => Assert.Empty(SpreadOverFiles(Sources.Under("src/KilnShare.Core")));

    [Fact]
    public void A_class_in_two_files_is_seen_and_one_completed_by_a_generator_is_not()
    {
        SourceFile[] planted =
        [
            new("src/KilnShare.Core/Loading/A.cs", "namespace X;\n\npublic static partial class Both\n"),
            new("src/KilnShare.Core/Loading/B.cs", "namespace X;\n\n    public static partial class Both\n"),
            new("src/KilnShare.Core/Loading/C.cs", "namespace Y;\n\ninternal sealed partial record Both(int A)\n"),
            new("src/KilnShare.Core/Loading/D.cs", "namespace X;\n\ninternal partial record struct One\n{\n    private static partial Regex Words();\n"),
        ];
        Assert.Equal(["X.Both"], SpreadOverFiles(planted));
    }

    private static List<string> SpreadOverFiles(IEnumerable<SourceFile> files) =>
    [
        .. files.SelectMany(
            f => PartialType().Matches(f.Text).Select(m => $"{Namespace().Match(f.Text).Groups["name"].Value}.{m.Groups["name"].Value}").Distinct())
            .GroupBy(n => n).Where(g => g.Count() > 1).Select(g => g.Key),
    ];

    [GeneratedRegex(
        @"\bpartial (class|record struct|record class|record|struct|interface) (?<name>\w+)", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant,
        1000)]
    private static partial Regex PartialType();

    [GeneratedRegex(@"^namespace (?<name>[\w.]+);", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant | RegexOptions.Multiline, 1000)]
    private static partial Regex Namespace();
}
