using System.Text.RegularExpressions;
using Microsoft.OpenApi;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace KilnShare.Api.Hosting;

/// <summary>Leaves out schemas that nothing refers to.</summary>
internal sealed partial class DocumentTidying : IDocumentFilter
{
    /// <inheritdoc/>
    public void Apply(OpenApiDocument swaggerDoc, DocumentFilterContext context)
    {
        swaggerDoc.Servers = [new OpenApiServer { Url = "/", Description = "This service." }];
        if (swaggerDoc.Components?.Schemas is not { } schemas) return;
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

    [GeneratedRegex("#/components/schemas/(?<name>[A-Za-z0-9_]+)", RegexOptions.NonBacktracking | RegexOptions.ExplicitCapture)]
    private static partial Regex Reference();
}
