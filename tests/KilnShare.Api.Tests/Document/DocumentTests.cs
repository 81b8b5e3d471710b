using System.Text.Json.Nodes;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Document;

/// <summary>The OpenAPI document: committed, complete, and true of itself.</summary>
public sealed class DocumentTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task The_document_is_the_committed_one()
    {
        var now = (await Load()).ToJsonString(new() { WriteIndented = true, Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping }) + "\n";
        CommittedFile.Compare("tests/KilnShare.Api.Tests/openapi.json", now);
    }

    private async Task<JsonObject> Load()
    {
        using var client = service.CreateClient();
        return JsonNode.Parse(await client.GetStringAsync("/openapi/v1.json", TestContext.Current.CancellationToken))!.AsObject();
    }
}
