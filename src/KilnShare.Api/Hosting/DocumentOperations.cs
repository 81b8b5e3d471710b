using System.Text.Json.Nodes;
using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Pieces;
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
        var before = string.IsNullOrEmpty(operation.Description) ? "" : operation.Description + "\n\n";
        operation.Description = $"{before}{Word(row)}{(row.ShowsAmounts ? AmountsWord : "")}";
        operation.Parameters ??= [];
        AddPathIds(operation.Parameters, context.ApiDescription.RelativePath ?? "");
        foreach (var parameter in operation.Parameters.OfType<OpenApiParameter>()) Complete(parameter);
        ShowWords(operation.Parameters, context.MethodInfo);
        if (name == "listReadings") ShowReadings(operation, context);
        if (name == "listFirings" && operation.Parameters.FirstOrDefault(p => p.Name == "after")?.Schema is OpenApiSchema cursor)
            (cursor.MaxLength, cursor.Pattern) = (64, "^-?[0-9]{1,18}\\.[0-9a-f-]{36}$");
        if (name == "readPrecedents" && operation.Parameters.FirstOrDefault(p => p.Name == "firingId") is OpenApiParameter firing)
            firing.Description = "The firing it is to go into; the one it is booked for where this is not given.";
        if (context.ApiDescription.ActionDescriptor.EndpointMetadata.OfType<KeyUse>().FirstOrDefault() is { } use)
            operation.Parameters.Add(Header("Idempotency-Key", KeyWords, 1, StudioLimits.MaxIdempotencyKey, "^[!-~]+$", use.IsNeeded));
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

    private const string KeyWords =
        "A new one for each thing you want done; the same one with a retry, which is then answered as the first try was (Idempotent-Replayed: true), also "
            + "while that one is under way.";

    private const string AmountsWord =
        " Owners and technicians read everybody's amounts; others as the studio's amountsShownTo says: unless it opens them, potters read their own, and "
            + "totals that three members or more share; viewers none.";

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
                parameters.Insert(0, new OpenApiParameter
                {
                    Name = name,
                    In = ParameterLocation.Path,
                    Required = true,
                    Schema = new OpenApiSchema { Type = JsonSchemaType.String }
                });
        }
    }

    /// <summary>The words that an enum in a query takes.</summary>
    private static void ShowWords(IList<IOpenApiParameter> parameters, System.Reflection.MethodInfo handler)
    {
        foreach (var taken in handler.GetParameters())
        {
            var type = Nullable.GetUnderlyingType(taken.ParameterType) ?? taken.ParameterType;
            if (!type.IsGenericType || type.GetGenericTypeDefinition() != typeof(QueryWord<>)) continue;
            if (parameters.FirstOrDefault(p => p.Name == taken.Name) is OpenApiParameter shown)
                shown.Schema = new OpenApiSchema
                {
                    Type = JsonSchemaType.String,
                    Enum = [
                    .. Enum.GetNames(type.GetGenericArguments()[0]).Select(n => (JsonNode)System.Text.Json.JsonNamingPolicy.CamelCase.ConvertName(n))]
                };
        }
    }

    /// <summary>A log has three shapes, by the resolution asked for.</summary>
    private static void ShowReadings(OpenApiOperation operation, OperationFilterContext context)
    {
        if (operation.Responses?["200"] is not OpenApiResponse { Content: { } content }) return;
        Type[] shapes = [typeof(Page<Firings.LogReadingContract>), typeof(Firings.LogMinutesAnswer), typeof(Firings.LogSummaryContract)];
        ((OpenApiMediaType)content["application/json"]).Schema = new OpenApiSchema
        {
            AnyOf = [
            .. shapes.Select(s => context.SchemaGenerator.GenerateSchema(s, context.SchemaRepository))]
        };
    }

    private sealed record Query(string Description, string? Pattern = null, int Longest = 0, string? Least = null, string? Most = null);

    /// <summary>Query values that several operations take.</summary>
    private static readonly Dictionary<string, Query> Queries = new(StringComparer.Ordinal)
    {
        ["from"] = new("The first day, in the studio's zone.", Pattern: DayPattern, Longest: 10),
        ["to"] = new("The day after the last, in the studio's zone.", Pattern: DayPattern, Longest: 10),
        ["year"] = new("The year, in the studio's zone.", Least: "2000", Most: "2099"),
        ["month"] = new("A month, as 2026-01, in the studio's zone.", Pattern: "^[0-9]{4}-[0-9]{2}$", Longest: 7),
        ["state"] = new("Only those in this state."),
        ["kind"] = new("Only those of this kind."),
        ["mark"] = new("Only those with this sign under the foot, letter for letter.", Pattern: "\\S", Longest: PieceLimits.MaxMark),
        ["stage"] = new("Only those of which a copy has been fired to this."),
        ["nextKind"] = new("Only those of which a copy needs this kind of firing next."),
        ["waitsFor"] = new("Only those that wait for this."),
        ["days"] = new("How many days ago at the least; 14 where it is not given.", Least: "0", Most: "3650"),
        ["temperature"] = new("The unit of temperatures."),
        ["unit"] = new("The unit it is written in."),
        ["startedAt"] = new("When the firing began, as 2026-03-14T06:00:00Z, for times that count from there; when it was lit where this is not given.",
            Pattern: MomentPattern, Longest: 35),
        ["leaving"] = new("keep: let the member go though money is owed or ware is here; both stay on the books."),
        ["cone"] = new("This cone only, as 6, 06 or 05.5.", Pattern: "^[0-9]{1,3}(\\.5|½)?$", Longest: 4),
        ["atmosphere"] = new("This atmosphere only."),
        ["by"] = new("Any of coats, layers, appliedBy, batch and level, with commas between; coats where it is not given.",
            Pattern: "^([a-zA-Z]+(, ?[a-zA-Z]+)*)?$", Longest: 60),
        ["copy"] = new("Which copy, from 0; the first with a firing to come where it is not given.", Least: "0", Most: "499"),
        ["since"] = new("Before and from this day, in the studio's zone.", Pattern: DayPattern, Longest: 10),
        ["seed"] = new("Of the orders that are drawn; 1 where it is not given.", Least: "-2147483648", Most: "2147483647"),
        ["resolution"] = new("raw: as it came; minutes: one figure a minute; summary: a few figures. raw where it is not given."),
    };

    private const string MomentPattern = "^[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt][0-9:.]+([Zz]|[+ -][0-9]{2}:[0-9]{2})$";
    private const string DayPattern = "^[0-9]{4}-[0-9]{2}-[0-9]{2}$";

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
            parameter.Schema = new OpenApiSchema
            {
                Type = JsonSchemaType.String,
                Enum = [
                .. Enum.GetValues<Core.Cones.ConeSeries>().Select(s => (JsonNode)EnumWord<Core.Cones.ConeSeries>.Of(s))]
            };
            parameter.Description ??= "The series of cones.";
        }
        else if (Queries.TryGetValue(parameter.Name!, out var query))
        {
            parameter.Description ??= query.Description;
            if (query.Pattern is { } pattern) (schema.Pattern, schema.MaxLength) = (pattern, query.Longest);
            if (query.Least is { } least) (schema.Minimum, schema.Maximum) = (least, query.Most);
        }
        else if (parameter.Name!.EndsWith("Id", StringComparison.Ordinal))
        {
            (schema.Format, schema.MaxLength, schema.Pattern) = ("uuid", 36, IdPattern);
            parameter.Description ??= parameter.In == ParameterLocation.Path ? "Which one." : "Only those of this one.";
        }
    }

    private static OpenApiParameter Header(string name, string description, int shortest, int longest, string? pattern, bool isRequired = true) => new()
    {
        Name = name,
        In = ParameterLocation.Header,
        Required = isRequired,
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
