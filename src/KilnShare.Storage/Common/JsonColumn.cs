using System.Text;
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

/// <summary>
/// How Core's value trees (a chamber, a clay body, a frozen copy) stand in a jsonb column: read and written whole, each with the number of its form.
/// </summary>
/// <remarks>
/// A tree stands with its fields at the top and its form beside them under <c>v</c>; a list stands under <c>items</c>. What the first release wrote has
/// no <c>v</c> and bare lists, and is form 1. A field that is added needs no new form, since rows without it stay readable; whatever else changes what is
/// stored takes the next number, and the reading of the older ones stays. A test pins every name that is stored (<c>tests/data/stored-form.txt</c>).
/// </remarks>
public static class JsonColumn
{
    private const string FormField = "v";
    private const string ItemsField = "items";

    // Names in stored rows: they stay when a class is renamed.
    private static readonly JsonDerivedType[] Shapes =
    [
        new(typeof(Footprint.Circle), "circle"),
        new(typeof(Footprint.Rectangle), "rectangle"),
        new(typeof(Footprint.Octagon), "octagon"),
        new(typeof(Footprint.HalfCircle), "halfCircle"),
        new(typeof(Footprint.Polygon), "polygon"),
    ];

    private static readonly JsonSerializerOptions Options = MakeOptions();

    /// <summary>Keeps the property in a jsonb column.</summary>
    /// <param name="property">The property.</param>
    /// <param name="form">The number of the form that is written; none later is read.</param>
    public static PropertyBuilder<T> AsJson<T>(this PropertyBuilder<T> property, int form = 1)
    {
        property.HasColumnType("jsonb").HasConversion(
            new ValueConverter<T, string>(v => Write(v, form), s => Read<T>(s, form)),
            new ValueComparer<T>((a, b) => Write(a, form) == Write(b, form), v => Write(v, form).GetHashCode(StringComparison.Ordinal), v => v));
        return property;
    }

    /// <summary>The text of a value.</summary>
    public static string Write<T>(T value, int form = 1)
    {
        var text = JsonSerializer.Serialize(value, Options);
        if (IsList<T>()) return $$"""{"{{FormField}}":{{form}},"{{ItemsField}}":{{text}}}""";
        return text == "{}" ? $$"""{"{{FormField}}":{{form}}}""" : $$"""{"{{FormField}}":{{form}},{{text.AsSpan(1)}}""";
    }

    /// <summary>The value of a text.</summary>
    /// <exception cref="NotSupportedException">It was written in a later form than this program knows.</exception>
    public static T Read<T>(string text, int form = 1)
    {
        var json = Encoding.UTF8.GetBytes(text);
        var reader = new Utf8JsonReader(json);
        reader.Read();
        if (reader.TokenType == JsonTokenType.StartObject && Find(ref reader, FormField) && reader.GetInt32() is var written && written > form)
            throw new NotSupportedException(
                $"A row was written in form {written}, and this program reads forms up to {form}: a newer KilnShare has written it. Run that one.");
        reader = new Utf8JsonReader(json);
        reader.Read();
        if (!IsList<T>() || reader.TokenType != JsonTokenType.StartObject) return JsonSerializer.Deserialize<T>(json, Options)!;
        if (!Find(ref reader, ItemsField)) throw new JsonException("A stored list has no items.");
        return JsonSerializer.Deserialize<T>(ref reader, Options)!;
    }

    /// <summary>How a type stands in a column: its fields by their stored names.</summary>
    public static JsonTypeInfo FormOf(Type type) => Options.GetTypeInfo(type);

    private static bool IsList<T>() => FormOf(typeof(T)).Kind == JsonTypeInfoKind.Enumerable;

    /// <summary>Goes to the value of a field of the object that the reader stands at; false where there is none.</summary>
    private static bool Find(ref Utf8JsonReader reader, string field)
    {
        while (reader.Read() && reader.TokenType == JsonTokenType.PropertyName)
        {
            var isWanted = reader.ValueTextEquals(field);
            reader.Read();
            if (isWanted) return true;
            reader.Skip();
        }

        return false;
    }

    private static JsonSerializerOptions MakeOptions()
    {
        var options = new JsonSerializerOptions(JsonSerializerDefaults.Web)
        {
            TypeInfoResolver = new DefaultJsonTypeInfoResolver { Modifiers = { TellFootprintsApart, AddedFields.LeaveOut } },
            NumberHandling = JsonNumberHandling.Strict,
            AllowOutOfOrderMetadataProperties = true, // jsonb puts shorter names first
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
        foreach (var shape in Shapes) type.PolymorphismOptions.DerivedTypes.Add(shape);
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
