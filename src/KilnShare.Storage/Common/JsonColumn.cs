using System.Text.Json;
using System.Text.Json.Serialization;
using System.Text.Json.Serialization.Metadata;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Pieces;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.ChangeTracking;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using Microsoft.EntityFrameworkCore.Storage.ValueConversion;
using NodaTime;
using NodaTime.Text;

namespace KilnShare.Storage.Common;

/// <summary>How Core's value trees (a chamber, a clay body, a frozen copy) stand in a jsonb column: read and written whole.</summary>
public static class JsonColumn
{
    private static readonly JsonSerializerOptions Options = MakeOptions();

    /// <summary>Keeps the property in a jsonb column.</summary>
    public static PropertyBuilder<T> AsJson<T>(this PropertyBuilder<T> property)
    {
        property.HasColumnType("jsonb").HasConversion(
            new ValueConverter<T, string>(v => Write(v), s => Read<T>(s)),
            new ValueComparer<T>((a, b) => Write(a) == Write(b), v => Write(v).GetHashCode(StringComparison.Ordinal), v => v));
        return property;
    }

    /// <summary>The text of a value.</summary>
    public static string Write<T>(T value) => JsonSerializer.Serialize(value, Options);

    /// <summary>The value of a text.</summary>
    public static T Read<T>(string text) => JsonSerializer.Deserialize<T>(text, Options)!;

    private static JsonSerializerOptions MakeOptions()
    {
        var options = new JsonSerializerOptions(JsonSerializerDefaults.Web)
        {
            TypeInfoResolver = new DefaultJsonTypeInfoResolver { Modifiers = { TellFootprintsApart } },
            NumberHandling = JsonNumberHandling.Strict,
        };
        options.Converters.Add(new JsonStringEnumConverter(JsonNamingPolicy.CamelCase, allowIntegerValues: false));
        options.Converters.Add(new LengthColumn());
        options.Converters.Add(new ConeColumn());
        options.Converters.Add(new InstantColumn());
        options.Converters.Add(new IdColumns());
        return options;
    }

    private static void TellFootprintsApart(JsonTypeInfo type)
    {
        if (type.Type != typeof(Footprint)) return;
        type.PolymorphismOptions = new JsonPolymorphismOptions { TypeDiscriminatorPropertyName = "$kind" };
        foreach (var shape in typeof(Footprint).GetNestedTypes())
            type.PolymorphismOptions.DerivedTypes.Add(new JsonDerivedType(shape, JsonNamingPolicy.CamelCase.ConvertName(shape.Name)));
    }

    private sealed class LengthColumn : JsonConverter<Length>
    {
        public override Length Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => new(reader.GetInt64());

        public override void Write(Utf8JsonWriter writer, Length value, JsonSerializerOptions options) => writer.WriteNumberValue(value.Micrometres);
    }

    private sealed class ConeColumn : JsonConverter<Cone>
    {
        public override Cone Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => Cone.Parse(reader.GetString()!);

        public override void Write(Utf8JsonWriter writer, Cone value, JsonSerializerOptions options) => writer.WriteStringValue(value.Name);
    }

    private sealed class InstantColumn : JsonConverter<Instant>
    {
        public override Instant Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
            InstantPattern.ExtendedIso.Parse(reader.GetString()!).Value;

        public override void Write(Utf8JsonWriter writer, Instant value, JsonSerializerOptions options) =>
            writer.WriteStringValue(InstantPattern.ExtendedIso.Format(value));
    }

    private sealed class IdColumns : JsonConverterFactory
    {
        public override bool CanConvert(Type typeToConvert) =>
            typeToConvert.IsGenericType && typeToConvert.GetGenericTypeDefinition() == typeof(Id<>);

        public override JsonConverter CreateConverter(Type typeToConvert, JsonSerializerOptions options) =>
            (JsonConverter)Activator.CreateInstance(typeof(IdColumn<>).MakeGenericType(typeToConvert.GetGenericArguments()))!;
    }

    private sealed class IdColumn<T> : JsonConverter<Id<T>>
    {
        public override Id<T> Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => new(reader.GetGuid());

        public override void Write(Utf8JsonWriter writer, Id<T> value, JsonSerializerOptions options) => writer.WriteStringValue(value.Value);
    }
}
