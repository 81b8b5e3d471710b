using System.Text.RegularExpressions;
using Microsoft.OpenApi;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace KilnShare.Api.Hosting;

/// <summary>Leaves out schemas that nothing refers to, and the line breaks of the source's comments from what is read.</summary>
internal sealed partial class DocumentTidying : IDocumentFilter
{
    /// <inheritdoc/>
    public void Apply(OpenApiDocument swaggerDoc, DocumentFilterContext context)
    {
        swaggerDoc.Servers = [new OpenApiServer { Url = "/", Description = "This service." }];
        foreach (var operation in swaggerDoc.Paths.Values.SelectMany(path => path.Operations ?? []).Select(named => named.Value))
            operation.Description = Flowing(operation.Description);
        if (swaggerDoc.Components?.Schemas is not { } schemas) return;
        foreach (var schema in schemas.Values) Flow(schema);
        while (true)
        {
            using var text = new StringWriter();
            swaggerDoc.SerializeAsV31(new OpenApiJsonWriter(text));
            var used = Reference().Matches(text.ToString()).Select(m => m.Groups["name"].Value).ToHashSet(StringComparer.Ordinal);
            var idle = schemas.Keys.Where(k => !used.Contains(k)).ToList();
            if (idle.Count == 0) break;
            foreach (var name in idle) schemas.Remove(name);
        }
    }

    private static void Flow(IOpenApiSchema schema)
    {
        if (schema is not OpenApiSchema own) return;
        own.Description = Flowing(own.Description);
        foreach (var part in own.Properties?.Values ?? []) Flow(part);
        foreach (var part in own.AnyOf ?? []) Flow(part);
        if (own.Items is { } items) Flow(items);
    }

    /// <summary>The same paragraphs, each in one line.</summary>
    private static string? Flowing(string? text) =>
        text is null ? null : string.Join("\n\n", text.Split("\n\n").Select(paragraph => paragraph.Replace('\n', ' ')));

    [GeneratedRegex("#/components/schemas/(?<name>[A-Za-z0-9_]+)", RegexOptions.NonBacktracking | RegexOptions.ExplicitCapture)]
    private static partial Regex Reference();
}
