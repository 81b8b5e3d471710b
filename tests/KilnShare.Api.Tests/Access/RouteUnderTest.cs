using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using KilnShare.Api.Access;
using KilnShare.Api.Tests.Common;
using Microsoft.AspNetCore.Http.Metadata;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;

namespace KilnShare.Api.Tests.Access;

/// <summary>A route of the running service, as tests ask it.</summary>
public sealed partial class RouteUnderTest
{
    private RouteUnderTest(RouteEndpoint endpoint)
    {
        Operation = endpoint.Metadata.GetMetadata<IEndpointNameMetadata>()!.EndpointName;
        Method = endpoint.Metadata.GetMetadata<IHttpMethodMetadata>()!.HttpMethods.Single();
        Pattern = "/" + endpoint.RoutePattern.RawText!.Trim('/');
        Parameters = [.. endpoint.RoutePattern.Parameters.Select(p => p.Name)];
        var accepts = endpoint.Metadata.GetMetadata<IAcceptsMetadata>();
        (BodyType, ContentType) = (accepts?.RequestType, accepts?.ContentTypes[0]);
        Example = BodyType is null ? null : ReadExample(Operation);
        TellsSecret = endpoint.Metadata.GetOrderedMetadata<IProducesResponseTypeMetadata>()
            .Any(p => p.Type?.GetProperty("Token")?.PropertyType == typeof(string));
    }

    public string Operation { get; }

    public string Method { get; }

    public string Pattern { get; }

    public IReadOnlyList<string> Parameters { get; }

    /// <summary>The type of its body; null where it takes none.</summary>
    public Type? BodyType { get; }

    public string? ContentType { get; }

    /// <summary>The body of its example in the document.</summary>
    public JsonNode? Example { get; }

    /// <summary>True where its answer has a token in it that was made for it.</summary>
    public bool TellsSecret { get; }

    public AccessRow Row => AccessTable.Rows[Operation];

    public override string ToString() => $"{Method} {Pattern}";

    /// <summary>Every route of the service.</summary>
    public static IReadOnlyList<RouteUnderTest> All(Service service) =>
    [
        .. service.Services.GetRequiredService<EndpointDataSource>().Endpoints.OfType<RouteEndpoint>()
            .Where(e => e.Metadata.GetMetadata<IEndpointNameMetadata>() is not null)
            .Select(e => new RouteUnderTest(e)).OrderBy(r => r.Operation, StringComparer.Ordinal),
    ];

    /// <summary>The path with ids put in by name.</summary>
    public string Path(Func<string, Guid> id) => ParameterPattern().Replace(Pattern, m => m.Groups[1].Value switch
    {
        "year" => "2026",
        "month" => "2026-01",
        var name => id(name).ToString("D"),
    });

    /// <summary>The path with ids put in by name, but a text of our own for one of them.</summary>
    public string Path(Func<string, Guid> id, string odd, string text) =>
        ParameterPattern().Replace(Pattern, m =>
            m.Groups[1].Value == odd ? text : m.Groups[1].Value switch { "year" => "2026", "month" => "2026-01", var name => id(name).ToString("D") });

    private static JsonNode? ReadExample(string operation)
    {
        using var stream = typeof(Program).Assembly.GetManifestResourceStream($"KilnShare.Api.Document.Examples.{operation}.request.json");
        return stream is null ? null : JsonNode.Parse(stream);
    }

    [GeneratedRegex("[{]([A-Za-z]+)(:[a-z]+)?[}]")]
    private static partial Regex ParameterPattern();
}
