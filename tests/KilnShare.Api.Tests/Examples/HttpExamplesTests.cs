using System.Net.Http.Headers;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Examples;

public sealed partial class HttpExamplesTests(Service service) : IClassFixture<Service>
{
    public static TheoryData<string> Files => [.. Directory.GetFiles(Folder(), "*.http").Select(f => Path.GetFileName(f)).Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Files))]
    public async Task An_example_file_runs_from_top_to_bottom(string file)
    {
        var examples = HttpFile.Read(await File.ReadAllTextAsync(Path.Combine(Folder(), file), TestContext.Current.CancellationToken));
        Assert.NotEmpty(examples);
        using var client = service.CreateClient();
        var values = new Dictionary<string, string>(StringComparer.Ordinal) { ["installationToken"] = Service.InstallationToken };
        foreach (var example in examples)
        {
            using var request = new HttpRequestMessage(new HttpMethod(example.Method), Fill(example.Path, values));
            if (example.Body is { } body)
                request.Content = new StringContent(Fill(body, values), Encoding.UTF8, MediaTypeHeaderValue.Parse(example.Headers["Content-Type"]));
            foreach (var (name, value) in example.Headers.Where(h => h.Key != "Content-Type"))
                request.Headers.TryAddWithoutValidation(name, Fill(value, values));
            using var response = await client.SendAsync(request, TestContext.Current.CancellationToken);
            var text = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
            var isAsExpected = example.Expected is { } status ? (int)response.StatusCode == status : response.IsSuccessStatusCode;
            Assert.True(isAsExpected, $"{file}, {example.Title}: {(int)response.StatusCode} {text}");
            foreach (var (name, path) in example.Keeps) values[name] = Pick(text, path);
        }

        // A file that rotates the installation's token leaves the one of the settings to the next.
        await Bookings.VersionHistory.Run(service.Links.Admin, "delete from installation_token");
    }

    [Theory]
    [InlineData("### x\n# @unknown y\nGET {{url}}/v1/me")]
    [InlineData("### x\nFETCH {{url}}/v1/me")]
    [InlineData("### x\nGET {{url}}/v1/me\nnot a header")]
    [InlineData("GET {{url}}/v1/me\n### x\nGET {{url}}/v1/me")]
    public void The_reader_fails_on_syntax_it_does_not_know(string text) => Assert.Throws<FormatException>(() => HttpFile.Read("\n" + text));

    private static string Folder()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (!Directory.Exists(Path.Combine(folder!.FullName, "http-examples"))) folder = folder.Parent;
        return Path.Combine(folder.FullName, "http-examples");
    }

    private static string Fill(string text, Dictionary<string, string> values) => Variable().Replace(
        text, m => values.TryGetValue(m.Groups["name"].Value, out var value) ? value : throw new FormatException($"No value for {m.Value}."));

    private static string Pick(string json, string path) =>
        path.Split('.').Aggregate(JsonDocument.Parse(json).RootElement, (at, name) => int.TryParse(name, out var index) ? at[index] : at.GetProperty(name))
            .ToString();

    [GeneratedRegex(@"\{\{(?<name>\w+)\}\}", RegexOptions.NonBacktracking | RegexOptions.ExplicitCapture)]
    private static partial Regex Variable();
}
