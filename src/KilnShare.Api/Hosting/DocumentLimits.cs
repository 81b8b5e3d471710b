using System.Globalization;
using System.Reflection;
using System.Runtime.CompilerServices;
using System.Text.Json;
using KilnShare.Api.Common;
using Microsoft.OpenApi;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace KilnShare.Api.Hosting;

/// <summary>Writes the validators' limits into the schemas, and says of each field whether it may be null or absent.</summary>
internal sealed class DocumentLimits(FieldLimits limits) : ISchemaFilter
{
    /// <inheritdoc/>
    public void Apply(IOpenApiSchema schema, SchemaFilterContext context)
    {
        if (schema is not OpenApiSchema { Properties: { } properties } open || context.MemberInfo is not null) return;
        foreach (var field in context.Type.GetProperties(BindingFlags.Public | BindingFlags.Instance))
        {
            var name = JsonNamingPolicy.CamelCase.ConvertName(field.Name);
            if (!properties.TryGetValue(name, out var found)) continue;
            if (found is OpenApiSchema inner)
            {
                if (limits.Of(field) is { } limit) Write(inner, limit);
                if (limits.OfItems(field) is { } each && inner.Items is OpenApiSchema item) Write(item, each);
                if (limits.IsInput(context.Type)) WriteOfReader(inner);
            }

            if (IsNullable(field)) properties[name] = OrNull(found);
            if (field.IsDefined(typeof(RequiredMemberAttribute))) (open.Required ??= new HashSet<string>(StringComparer.Ordinal)).Add(name);
            else open.Required?.Remove(name);
        }
    }

    /// <summary>What the reader itself lets through, where no rule says less: a body of a few megabytes with so many values at most.</summary>
    private static void WriteOfReader(OpenApiSchema schema)
    {
        var type = schema.Type & ~JsonSchemaType.Null;
        if (type == JsonSchemaType.Array) schema.MaxItems ??= BodyCheck.MostValues;
        if (type == JsonSchemaType.String && schema is { Pattern: null, Format: null, Enum: null or { Count: 0 } })
            schema.MaxLength ??= ServiceBuilding.LargestBodyBytes;
        var (least, most) = (type, schema.Format) switch
        {
            (JsonSchemaType.Integer, "int32") => ($"{int.MinValue}", $"{int.MaxValue}"),
            (JsonSchemaType.Integer, _) => ($"{long.MinValue}", $"{long.MaxValue}"),
            (JsonSchemaType.Number, "double") => ($"{double.MinValue:R}", $"{double.MaxValue:R}"),
            (JsonSchemaType.Number, _) => ("-9000000000", "9000000000"),
            _ => (null, null),
        };
        (schema.Minimum, schema.Maximum) = (schema.Minimum ?? least, schema.Maximum ?? most);
        if (schema.Items is OpenApiSchema items) WriteOfReader(items);
    }

    private static bool IsNullable(PropertyInfo field) => field.PropertyType.IsValueType
        ? Nullable.GetUnderlyingType(field.PropertyType) is not null
        : new NullabilityInfoContext().Create(field).ReadState == NullabilityState.Nullable;

    private static IOpenApiSchema OrNull(IOpenApiSchema schema)
    {
        switch (schema)
        {
            case OpenApiSchema { AllOf: [OpenApiSchemaReference only] } wrapped:
                return Either(only, wrapped.Description);
            case OpenApiSchema { Enum.Count: > 0 } words:
                var description = words.Description;
                (words.Type, words.Description) = (words.Type & ~JsonSchemaType.Null, null);
                return Either(words, description);
            case OpenApiSchema plain:
                plain.Type |= JsonSchemaType.Null;
                return plain;
            default:
                return Either(schema, null);
        }
    }

    private static OpenApiSchema Either(IOpenApiSchema schema, string? description) => new()
    {
        Description = description,
        AnyOf = [schema, new OpenApiSchema { Type = JsonSchemaType.Null }],
    };

    private static void Write(OpenApiSchema schema, FieldLimit limit)
    {
        schema.Minimum = limit.Least?.ToString(CultureInfo.InvariantCulture) ?? schema.Minimum;
        schema.Maximum = limit.Most?.ToString(CultureInfo.InvariantCulture) ?? schema.Maximum;
        // Not multipleOf: checkers that count in binary fractions would refuse honest decimals.
        if (limit.Decimals is > 0 and var decimals) schema.Description = $"{schema.Description} At most {decimals} decimals.".TrimStart();
        schema.MinLength = limit.Shortest ?? schema.MinLength;
        schema.MaxLength = limit.Longest ?? schema.MaxLength;
        schema.MaxItems = limit.MostItems ?? schema.MaxItems;
        schema.Pattern = limit.Pattern ?? schema.Pattern;
    }
}
