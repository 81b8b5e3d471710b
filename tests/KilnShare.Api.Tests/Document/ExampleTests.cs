using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Document;

/// <summary>The examples in the document were really asked and answered: the story is told again and compared.</summary>
public sealed class ExampleTests(TestDatabase database)
{
    private static readonly JsonSerializerOptions Readable = new() { WriteIndented = true, Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    [Fact]
    public async Task The_examples_of_the_document_are_what_the_service_answers()
    {
        await using var service = new Service(database) { Also = StoryClock.Set };
        await service.InitializeAsync();
        var recorder = new Recorder();
        await new Story(service, recorder).Tell();
        foreach (var (name, json) in recorder.Kept)
            CommittedFile.Compare($"src/KilnShare.Api/Document/Examples/{name}.json", JsonNode.Parse(json)!.ToJsonString(Readable) + "\n");
        var files = Directory.GetFiles(Path.Combine(CommittedFile.Root, "src/KilnShare.Api/Document/Examples"), "*.json")
            .Select(Path.GetFileNameWithoutExtension);
        Assert.Empty(files.Except(recorder.Kept.Keys, StringComparer.Ordinal));
    }
}
