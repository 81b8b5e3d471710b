using KilnShare.Api.Common;
using KilnShare.Api.Kilns;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using Microsoft.OpenApi;
using NodaTime;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace KilnShare.Api.Hosting;

/// <summary>The OpenAPI document at /openapi/v1.json and its reader page at /docs.</summary>
public static class Document
{
    private const string Introduction =
        "Shared kilns: bookings, shelf packing, co-firing, cones, cost split. Lengths are millimetres, money whole minor units beside an ISO 4217 code, "
        + "times RFC 3339 with an offset. Refusals are problem documents (RFC 9457) with a stable code. What GET reads has an ETag over all of its answer, for "
        + "If-None-Match; HEAD is answered wherever GET is. Query values that a call does not take are refused.";

    /// <summary>Registers the document.</summary>
    public static void AddKilnShareDocument(this IServiceCollection services)
    {
        services.AddEndpointsApiExplorer();
        services.AddSingleton<FieldLimits>().AddSingleton<ServedDocument>();
        services.AddSwaggerGen(o =>
        {
            o.SwaggerDoc("v1", new OpenApiInfo
            {
                Title = "KilnShare",
                Version = "1",
                Description = Introduction,
                License = new OpenApiLicense { Name = "MIT", Identifier = "MIT" }
            });
            o.IncludeXmlComments(typeof(Program).Assembly);
            o.IncludeXmlComments(typeof(Length).Assembly);
            o.SupportNonNullableReferenceTypes();
            o.NonNullableReferenceTypesAsRequired();
            o.UseAllOfToExtendReferenceSchemas();
            MapTypes(o);
            o.AddSecurityDefinition("token", new OpenApiSecurityScheme
            {
                Type = SecuritySchemeType.Http,
                Scheme = "bearer",
                BearerFormat = "ks_…",
                Description = "A member's token, or the installation's own where a call says so."
            });
            o.SchemaFilter<EnumWordsFilter>();
            o.SchemaFilter<DocumentLimits>();
            o.OperationFilter<DocumentOperations>();
            o.DocumentFilter<DocumentTidying>();
        });
    }

    /// <summary>Serves the document and its page, to anyone.</summary>
    public static void UseKilnShareDocument(this IApplicationBuilder app)
    {
        app.Use(async (context, next) =>
        {
            if (HttpMethods.IsGet(context.Request.Method) && context.Request.Path == ServedDocument.Path)
                await context.RequestServices.GetRequiredService<ServedDocument>().Send(context);
            else await next(context);
        });
        app.UseSwaggerUI(o =>
        {
            o.RoutePrefix = "docs";
            o.SwaggerEndpoint(ServedDocument.Path, "v1");
            o.DocumentTitle = "KilnShare";
        });
    }

    private static void MapTypes(SwaggerGenOptions options)
    {
        options.MapType<Length>(() => new OpenApiSchema { Type = JsonSchemaType.Number, Description = "Millimetres, three decimals at most." });
        options.MapType<CsvBody>(
            () => new OpenApiSchema { Type = JsonSchemaType.String, MaxLength = ServiceBuilding.LargestBodyBytes, Description = "A table as CSV in UTF-8." });
        options.MapType<decimal>(() => new OpenApiSchema { Type = JsonSchemaType.Number });
        options.MapType<Instant>(() => new OpenApiSchema { Type = JsonSchemaType.String, Format = "date-time", Examples = ["2026-03-14T09:30:00+01:00"] });
        options.MapType<WallMaterialContract>(
            () => new OpenApiSchema
            {
                Description = "firebrick23, firebrick26, fibre, or an object with densityKgPerM3, heatCapacityJPerKgK and conductivity "
                + "[{meanC, wPerMK}]."
            });
        options.MapType<Cone>(() => new OpenApiSchema
        {
            Type = JsonSchemaType.String,
            Enum = [
            .. Cone.All.Select(c => (System.Text.Json.Nodes.JsonNode)c.Name)],
            Description = "A cone by its number as text; the leading zero counts."
        });
    }

    /// <summary>Shows enums by the words they have in JSON.</summary>
    private sealed class EnumWordsFilter : ISchemaFilter
    {
        public void Apply(IOpenApiSchema schema, SchemaFilterContext context)
        {
            if (schema is not OpenApiSchema { } open || !context.Type.IsEnum) return;
            open.Type = JsonSchemaType.String;
            open.Format = null;
            open.Enum = [.. Enum.GetNames(context.Type)
                .Select(n => (System.Text.Json.Nodes.JsonNode)System.Text.Json.JsonNamingPolicy.CamelCase.ConvertName(n))];
        }
    }
}
