using System.Text.Json.Nodes;
using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Studios;
using Microsoft.OpenApi;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace KilnShare.Api.Hosting;

/// <summary>Completes each operation: who may call it, the headers it reads, and examples that were really asked and answered.</summary>
internal sealed class DocumentOperations : IOperationFilter
{
    private const string IdPattern = "^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$";

    /// <inheritdoc/>
    public void Apply(OpenApiOperation operation, OperationFilterContext context)
    {
        var name = operation.OperationId!;
        var row = AccessTable.Rows[name];
        operation.Security = row == AccessTable.Anyone
            ? [new OpenApiSecurityRequirement()]
            : [new OpenApiSecurityRequirement { [new OpenApiSecuritySchemeReference("token", context.Document)] = [] }];
        operation.Description = $"{operation.Description}{(string.IsNullOrEmpty(operation.Description) ? "" : "\n\n")}{Word(row)}";
        operation.Parameters ??= [];
        AddPathIds(operation.Parameters, context.ApiDescription.RelativePath ?? "");
        foreach (var parameter in operation.Parameters.OfType<OpenApiParameter>()) Complete(parameter);
        if (context.MethodInfo.GetParameters().Any(p => p.ParameterType == typeof(Idempotency)))
            operation.Parameters.Add(Header("Idempotency-Key", "A new one for each thing you want done; the same one with a retry.", 1, StudioLimits.MaxIdempotencyKey, "^[!-~]+$"));
        if (operation.Responses?.ContainsKey("428") == true)
            operation.Parameters.Add(Header("If-Match", "The ETag that you last read, or * for any.", 1, 200, null));
        if (operation.RequestBody?.Content is { } content)
            foreach (var (mediaType, body) in content) Describe(name, mediaType, (OpenApiMediaType)body, context);
        operation.Responses ??= [];
        operation.Responses.TryAdd("default", new OpenApiResponse
        {
            Description = "Any other refusal.",
            Content = new Dictionary<string, IOpenApiMediaType>(StringComparer.Ordinal)
            {
                [Problems.MediaType] = new OpenApiMediaType { Schema = context.SchemaGenerator.GenerateSchema(typeof(Problem), context.SchemaRepository) },
            },
        });
        foreach (var (status, response) in operation.Responses)
            Exemplify(name, status, (OpenApiResponse)response);
    }

    private static string Word(AccessRow row) => row switch
    {
        { NeedsInstallation: true } => "For holders of the installation's token.",
        { Least: { } least } => $"For the role {EnumWord<Role>.Of(least)} and above.",
        _ => "For anyone.",
    };

    /// <summary>Ids that the access check reads out of the path, not the handler.</summary>
    private static void AddPathIds(IList<IOpenApiParameter> parameters, string path)
    {
        foreach (var name in path.Split('/').Where(part => part.StartsWith('{')).Select(part => part.Trim('{', '}').Split(':')[0]))
        {
            if (parameters.All(p => p.Name != name))
                parameters.Insert(0, new OpenApiParameter { Name = name, In = ParameterLocation.Path, Required = true, Schema = new OpenApiSchema { Type = JsonSchemaType.String } });
        }
    }

    private static void Complete(OpenApiParameter parameter)
    {
        if (parameter.Schema is not OpenApiSchema schema) return;
        if (parameter.Name == "limit")
        {
            (schema.Minimum, schema.Maximum) = ("1", "200");
            parameter.Description = "Entries on a page; 50 where it is not given.";
        }
        else if (parameter.Name == "after")
        {
            (schema.MaxLength, schema.Pattern) = (36, IdPattern);
            parameter.Description = "What next of the page before said.";
        }
        else if (parameter.Name == "rateCPerHour")
        {
            // The table's own rule narrows this further.
            (schema.Minimum, schema.Maximum) = ("0", "10000");
            parameter.Description ??= "Rate over the last 100 °C of heating, °C/h.";
        }
        else if (parameter.Name == "series")
        {
            parameter.Schema = new OpenApiSchema { Type = JsonSchemaType.String, Enum = [.. Enum.GetValues<Core.Cones.ConeSeries>().Select(s => (JsonNode)EnumWord<Core.Cones.ConeSeries>.Of(s))] };
            parameter.Description ??= "The series of cones.";
        }
        else if (parameter.Name!.EndsWith("Id", StringComparison.Ordinal))
        {
            (schema.Format, schema.MaxLength, schema.Pattern) = ("uuid", 36, IdPattern);
            parameter.Description ??= parameter.In == ParameterLocation.Path ? "Which one." : "Only those of this one.";
        }
    }

    private static OpenApiParameter Header(string name, string description, int shortest, int longest, string? pattern) => new()
    {
        Name = name,
        In = ParameterLocation.Header,
        Required = true,
        Description = description,
        Schema = new OpenApiSchema { Type = JsonSchemaType.String, MinLength = shortest, MaxLength = longest, Pattern = pattern },
    };

    private static void Describe(string name, string mediaType, OpenApiMediaType body, OperationFilterContext context)
    {
        if (mediaType == MergePatch.MediaType && body.Schema is OpenApiSchemaReference whole) body.Schema = PatchOf(whole.Reference.Id!, context);
        if (DocumentExamples.Find($"{name}.request") is { } example) body.Example = example;
    }

    /// <summary>The schema of a merge patch: every field of the contract may be absent, and those that may be absent are taken away by null.</summary>
    private static OpenApiSchemaReference PatchOf(string whole, OperationFilterContext context)
    {
        var schemas = context.SchemaRepository.Schemas;
        var id = whole + "Patch";
        if (schemas.ContainsKey(id)) return new OpenApiSchemaReference(id, context.Document);
        var source = (OpenApiSchema)schemas[whole];
        var patch = new OpenApiSchema
        {
            Type = JsonSchemaType.Object,
            Description = "A merge patch (RFC 7396): only what is to change. " + source.Description,
            Properties = new Dictionary<string, IOpenApiSchema>(StringComparer.Ordinal),
            AdditionalPropertiesAllowed = false,
        };
        schemas[id] = patch;
        foreach (var (name, field) in source.Properties ?? new Dictionary<string, IOpenApiSchema>(StringComparer.Ordinal))
        {
            var inner = TargetOf(field) is { } target && schemas[target] is OpenApiSchema { Properties.Count: > 0 } ? PatchOf(target, context) : null;
            var mayGo = source.Required?.Contains(name) != true;
            var part = inner ?? field;
            patch.Properties[name] = mayGo && !IsNullable(part)
                ? new OpenApiSchema { AnyOf = [part, new OpenApiSchema { Type = JsonSchemaType.Null }], Description = field.Description }
                : part;
        }

        return new OpenApiSchemaReference(id, context.Document);
    }

    private static bool IsNullable(IOpenApiSchema schema) =>
        schema.Type?.HasFlag(JsonSchemaType.Null) == true || schema.AnyOf?.Any(s => s.Type == JsonSchemaType.Null) == true;

    private static string? TargetOf(IOpenApiSchema field) => field switch
    {
        OpenApiSchemaReference reference => reference.Reference.Id,
        OpenApiSchema { AllOf: [OpenApiSchemaReference only] } => only.Reference.Id,
        OpenApiSchema { AnyOf: [OpenApiSchemaReference first, ..] } => first.Reference.Id,
        _ => null,
    };

    private static void Exemplify(string name, string status, OpenApiResponse response)
    {
        if (response.Content is not { Count: > 0 } content) return;
        foreach (var (mediaType, body) in content)
        {
            if (mediaType == Problems.MediaType) continue;
            if (DocumentExamples.Find($"{name}.{status}") is { } example) ((OpenApiMediaType)body).Example = example;
        }
    }
}

/// <summary>The examples, kept as files beside this code; a test asks the service again and compares.</summary>
internal static class DocumentExamples
{
    private const string Folder = "KilnShare.Api.Document.Examples.";

    /// <summary>The example of that name; null where there is none.</summary>
    public static JsonNode? Find(string name)
    {
        using var stream = typeof(DocumentExamples).Assembly.GetManifestResourceStream($"{Folder}{name}.json");
        return stream is null ? null : JsonNode.Parse(stream);
    }
}
