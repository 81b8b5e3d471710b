using System.Net;
using System.Text.Json;
using KilnShare.Api.Access;
using KilnShare.Api.Tests.Common;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;

namespace KilnShare.Api.Tests.Architecture;

/// <summary>Routes, their document and the access table say the same.</summary>
public sealed class EndpointTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Every_route_has_a_name_a_summary_and_a_row_of_access()
    {
        var paths = (await service.As(null).Get("/openapi/v1.json")).Expect(HttpStatusCode.OK).Body.GetProperty("paths");
        var operations = paths.EnumerateObject().SelectMany(p => p.Value.EnumerateObject().Select(o => (Path: $"{o.Name} {p.Name}", Operation: o.Value)))
            .ToList();
        Assert.Empty(operations.SelectMany(o => FaultsOf(o.Path, o.Operation)));
        var documented = operations.Select(o => o.Operation.GetProperty("operationId").GetString()!).Order(StringComparer.Ordinal).ToList();
        Assert.Equal(documented.Distinct(StringComparer.Ordinal), documented, StringComparer.Ordinal);
        Assert.Equal(AccessTable.Rows.Keys.Order(StringComparer.Ordinal), documented, StringComparer.Ordinal);
        var routed = service.Services.GetRequiredService<EndpointDataSource>().Endpoints
            .Select(e => e.Metadata.GetMetadata<IEndpointNameMetadata>()?.EndpointName).OfType<string>().Order(StringComparer.Ordinal);
        Assert.Equal(documented, routed, StringComparer.Ordinal);
    }

    [Theory]
    [InlineData("""{ "summary": "Read a cone" }""")]
    [InlineData("""{ "operationId": "readCone" }""")]
    [InlineData("""{ "operationId": "noSuchRow", "summary": "Read a cone" }""")]
    public void A_route_without_one_of_them_is_seen(string operation) =>
        Assert.NotEmpty(FaultsOf("get /x", JsonDocument.Parse(operation).RootElement));

    private static IEnumerable<string> FaultsOf(string path, JsonElement operation)
    {
        if (!operation.TryGetProperty("summary", out var summary) || string.IsNullOrWhiteSpace(summary.GetString())) yield return $"{path} has no summary";
        if (!operation.TryGetProperty("operationId", out var name)) yield return $"{path} has no name";
        else if (!AccessTable.Rows.ContainsKey(name.GetString()!)) yield return $"{path} has no row of access";
    }
}
