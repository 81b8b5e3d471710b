using System.Text.Json;
using System.Text.Json.Serialization;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Kilns;

namespace KilnShare.Api.Kilns;

/// <summary>One layer of a kiln's wall.</summary>
public readonly record struct WallLayerContract
{
    /// <summary>firebrick23, firebrick26, fibre, or own figures.</summary>
    /// <example>firebrick23</example>
    public required WallMaterialContract Material { get; init; }

    /// <summary>How thick.</summary>
    /// <example>76</example>
    public required Length ThicknessMm { get; init; }

    /// <summary>In Core's terms.</summary>
    public WallLayer ToCore() => new(Material.Material, ThicknessMm);

    /// <summary>The contract of a layer.</summary>
    public static WallLayerContract Of(WallLayer layer) => new() { Material = new WallMaterialContract(layer.Material), ThicknessMm = layer.Thickness };
}

/// <summary>A wall's material: by name, or by own figures.</summary>
/// <param name="Material">In Core's terms.</param>
[JsonConverter(typeof(WallMaterialJson))]
public sealed record WallMaterialContract(WallMaterial Material);

/// <summary>A conductivity at one mean temperature.</summary>
public readonly record struct ConductivityContract
{
    /// <summary>Mean temperature of the sample.</summary>
    /// <example>400</example>
    public required double MeanC { get; init; }

    /// <summary>Conductivity then.</summary>
    /// <example>0.12</example>
    public required double WPerMK { get; init; }
}

/// <summary>A material by own figures, as its data sheet gives them.</summary>
public sealed record OwnMaterialContract
{
    /// <summary>Density.</summary>
    /// <example>530</example>
    public required double DensityKgPerM3 { get; init; }

    /// <summary>Specific heat.</summary>
    /// <example>1050</example>
    public required double HeatCapacityJPerKgK { get; init; }

    /// <summary>One conductivity or more, by rising temperature; linear between them, held beyond them.</summary>
    public required IReadOnlyList<ConductivityContract> Conductivity { get; init; }
}

/// <summary>A name, or an object of own figures.</summary>
internal sealed class WallMaterialJson : JsonConverter<WallMaterialContract>
{
    private const string OwnName = "own";

    public override WallMaterialContract Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
    {
        if (reader.TokenType == JsonTokenType.String && WallMaterial.Named(reader.GetString()!) is { } named) return new WallMaterialContract(named);
        if (reader.TokenType != JsonTokenType.StartObject)
        {
            throw new BadValueException(
                "kilns.no-such-material",
                "Takes firebrick23, firebrick26, fibre, or an object with densityKgPerM3, heatCapacityJPerKgK and conductivity from the data sheet.");
        }

        var own = ReadOwn(ref reader, options);
        return new WallMaterialContract(new WallMaterial(
            OwnName, own.DensityKgPerM3, own.HeatCapacityJPerKgK, [.. own.Conductivity.Select(c => new ConductivityPoint(c.MeanC, c.WPerMK))]));
    }

    public override void Write(Utf8JsonWriter writer, WallMaterialContract value, JsonSerializerOptions options)
    {
        var material = value.Material;
        if (WallMaterial.Named(material.Name) is not null) writer.WriteStringValue(material.Name);
        else JsonSerializer.Serialize(writer, OwnOf(material), options);
    }

    private static OwnMaterialContract OwnOf(WallMaterial material) => new()
    {
        DensityKgPerM3 = material.DensityKgPerM3,
        HeatCapacityJPerKgK = material.HeatCapacityJPerKgK,
        Conductivity = [.. material.Conductivity.Select(c => new ConductivityContract { MeanC = c.MeanC, WPerMK = c.WPerMK })],
    };

    /// <summary>A nested reader counts its path from the object: thrown anew, the message stands at the object's own place.</summary>
    private static OwnMaterialContract ReadOwn(ref Utf8JsonReader reader, JsonSerializerOptions options)
    {
        try
        {
            return JsonSerializer.Deserialize<OwnMaterialContract>(ref reader, options)!;
        }
        catch (BadValueException bad)
        {
            throw new BadValueException(bad.Code, bad.Message);
        }
        catch (JsonException json)
        {
            throw new JsonException(json.Message, json);
        }
    }
}
