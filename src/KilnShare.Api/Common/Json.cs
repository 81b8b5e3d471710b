using System.Buffers;
using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.Json.Serialization;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using NodaTime;
using NodaTime.Text;

namespace KilnShare.Api.Common;

/// <summary>The strict JSON of the service: what is not understood is refused, never guessed.</summary>
public static class Json
{
    /// <summary>Deepest nesting that is read.</summary>
    public const int MaxDepth = 24;

    /// <summary>Sets the options up.</summary>
    public static void Configure(JsonSerializerOptions options)
    {
        options.PropertyNamingPolicy = JsonNamingPolicy.CamelCase;
        options.PropertyNameCaseInsensitive = false;
        options.AllowDuplicateProperties = false;
        options.UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow;
        options.RespectNullableAnnotations = true;
        options.RespectRequiredConstructorParameters = true;
        options.NumberHandling = JsonNumberHandling.Strict;
        options.MaxDepth = MaxDepth;
        options.Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping; // never shown as HTML: application/json with nosniff
        options.Converters.Add(new EnumWords());
        options.Converters.Add(new LengthJson());
        options.Converters.Add(new DecimalJson());
        options.Converters.Add(new DoubleJson());
        options.Converters.Add(new ConeJson());
        options.Converters.Add(new InstantJson());
    }

    /// <summary>The options, for writing outside a request.</summary>
    public static JsonSerializerOptions Options { get; } = Make();

    /// <summary>True when both would be written alike.</summary>
    public static bool Same<T>(T one, T other) =>
        JsonSerializer.SerializeToUtf8Bytes(one, Options).AsSpan().SequenceEqual(JsonSerializer.SerializeToUtf8Bytes(other, Options));

    private static JsonSerializerOptions Make()
    {
        var options = new JsonSerializerOptions();
        Configure(options);
        options.MakeReadOnly(populateMissingResolver: true);
        return options;
    }
}

/// <summary>A value that is JSON, but not what the field takes.</summary>
public sealed class BadValueException(string code, string message) : JsonException(message)
{
    /// <summary>The stable code.</summary>
    public string Code { get; } = code;
}

/// <summary>Enums by their words in camelCase, exactly; never by number.</summary>
internal sealed class EnumWords : JsonConverterFactory
{
    public override bool CanConvert(Type typeToConvert) => typeToConvert.IsEnum;

    public override JsonConverter CreateConverter(Type typeToConvert, JsonSerializerOptions options) =>
        (JsonConverter)Activator.CreateInstance(typeof(EnumWord<>).MakeGenericType(typeToConvert))!;
}

/// <summary>The words of one enum.</summary>
internal sealed class EnumWord<T> : JsonConverter<T>
    where T : struct, Enum
{
    private static readonly Dictionary<string, T> ByWord = Enum.GetValues<T>().ToDictionary(Of, StringComparer.Ordinal);

    /// <summary>The word of a value.</summary>
    public static string Of(T value) => JsonNamingPolicy.CamelCase.ConvertName(value.ToString());

    /// <summary>The value of a word.</summary>
    public static bool TryParse(string? word, out T value) => ByWord.TryGetValue(word ?? "", out value);

    public override T Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
        reader.TokenType == JsonTokenType.String && ByWord.TryGetValue(reader.GetString()!, out var value)
            ? value
            : throw new BadValueException("request.unknown-word", $"Takes one of: {string.Join(", ", ByWord.Keys)}.");

    public override void Write(Utf8JsonWriter writer, T value, JsonSerializerOptions options) => writer.WriteStringValue(Of(value));
}

/// <summary>Millimetres with three decimals at most.</summary>
internal sealed class LengthJson : JsonConverter<Length>
{
    public override Length Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
        Length.TryFromMm(DecimalJson.ReadExact(ref reader), out var length)
            ? length
            : throw new BadValueException("request.too-many-decimals", "A length is a number of millimetres with three decimals at most.");

    public override void Write(Utf8JsonWriter writer, Length value, JsonSerializerOptions options) => writer.WriteNumberValue(value.Mm);
}

/// <summary>Decimals exactly as written: no digit is rounded away in silence.</summary>
internal sealed class DecimalJson : JsonConverter<decimal>
{
    private const int LongestNumber = 28;
    private const decimal MostNumber = 9_000_000_000m;

    public static decimal ReadExact(ref Utf8JsonReader reader)
    {
        if (reader.TokenType != JsonTokenType.Number) throw new BadValueException("request.not-a-number", "Takes a number.");
        var text = reader.HasValueSequence ? Encoding.UTF8.GetString(reader.ValueSequence.ToArray()) : Encoding.UTF8.GetString(reader.ValueSpan);
        if (text.Length > LongestNumber || text.AsSpan().IndexOfAny('e', 'E') >= 0 || !IsUsual(text))
            throw new BadValueException(
                "request.not-a-plain-number", "Takes a plain number of 28 characters at most, from -9000000000 to 9000000000, without exponent.");
        return Parse(text);
    }

    /// <summary>Within what sums of squares still hold.</summary>
    private static bool IsUsual(string text) => Math.Abs(Parse(text)) <= MostNumber;

    private static decimal Parse(string text) =>
        decimal.Parse(text, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture);

    public override decimal Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => ReadExact(ref reader);

    public override void Write(Utf8JsonWriter writer, decimal value, JsonSerializerOptions options) => writer.WriteNumberValue(value);
}

/// <summary>Finite doubles.</summary>
internal sealed class DoubleJson : JsonConverter<double>
{
    public override double Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
        reader.TokenType == JsonTokenType.Number && reader.TryGetDouble(out var value) && double.IsFinite(value)
            ? value
            : throw new BadValueException("request.not-a-number", "Takes a finite number.");

    public override void Write(Utf8JsonWriter writer, double value, JsonSerializerOptions options) => writer.WriteNumberValue(value);
}

/// <summary>Cones by their number as text.</summary>
internal sealed class ConeJson : JsonConverter<Cone>
{
    public override Cone Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
        reader.TokenType == JsonTokenType.String && Cone.TryParse(reader.GetString(), out var cone)
            ? cone
            : throw new BadValueException(
                "cones.unknown", $"Takes a cone as text, one of: {string.Join(", ", Cone.All)}. The leading zero counts: 06 is far cooler than 6.");

    public override void Write(Utf8JsonWriter writer, Cone value, JsonSerializerOptions options) => writer.WriteStringValue(value.Name);
}

/// <summary>Times as RFC 3339 with an offset.</summary>
internal sealed class InstantJson : JsonConverter<Instant>
{
    private static readonly Instant Earliest = Instant.FromUtc(2000, 1, 1, 0, 0);
    private static readonly Instant Latest = Instant.FromUtc(2100, 1, 1, 0, 0);

    public override Instant Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
    {
        if (reader.TokenType == JsonTokenType.String && TryParse(reader.GetString()!, out var instant) && instant >= Earliest && instant < Latest)
            return instant;
        throw new BadValueException("request.not-a-time", "Takes a time from 2000 to 2099 with its offset, as 2026-03-14T09:30:00+01:00 (RFC 3339).");
    }

    /// <summary>RFC 3339, section 5.6: T and Z in either case, hours up to 23.</summary>
    public static bool TryParse(string text, out Instant instant)
    {
        var read = text.Length > HourAt + 2 && text[HourAt] is not '2' | text[HourAt + 1] is not '4'
            ? OffsetDateTimePattern.Rfc3339.Parse(text.ToUpperInvariant()) : null;
        instant = read is { Success: true } ? read.Value.ToInstant() : default;
        return read is { Success: true };
    }

    private const int HourAt = 11;

    public override void Write(Utf8JsonWriter writer, Instant value, JsonSerializerOptions options) =>
        writer.WriteStringValue(InstantPattern.ExtendedIso.Format(value));
}
