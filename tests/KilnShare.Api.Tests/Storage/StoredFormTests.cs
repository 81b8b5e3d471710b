using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.Json.Serialization.Metadata;
using KilnShare.Api.Tests.Common;
using KilnShare.Api.Tests.Document;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using KilnShare.Storage.Common;
using KilnShare.Storage.Setup;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata;
using Npgsql;

namespace KilnShare.Api.Tests.Storage;

/// <summary>
/// What stands in jsonb columns, and the words in others, is pinned: a class or a field that is renamed fails here and not at the rows of a studio.
/// </summary>
public sealed class StoredFormTests(TestDatabase database)
{
    private const string Golden = "tests/data/stored-form.txt";

    // What is added is written into the file by KILNSHARE_RENEW=1; what is gone never is.
    [Fact]
    public void Every_name_that_is_stored_is_still_the_one_that_was_stored()
    {
        var now = Columns().SelectMany(c => Lines(c)).Order(StringComparer.Ordinal).ToList();
        var path = Path.Combine(CommittedFile.Root, Golden);
        var pinned = File.Exists(path) ? File.ReadAllLines(path) : [];
        var gone = pinned.Except(now, StringComparer.Ordinal).ToList();
        Assert.True(gone.Count == 0,
            $"Rows in studios' databases hold what the code no longer reads:\n{string.Join('\n', gone.Take(20))}\nKeep the stored name (JsonPropertyName, "
                + $"JsonStringEnumMemberName), or give the column its next form and read the older one too.");
        CommittedFile.Compare(Golden, string.Join('\n', now) + "\n");
    }

    [Fact]
    public void No_field_is_called_as_the_form_is() =>
        Assert.DoesNotContain("/v", Columns().SelectMany(c => Lines(c)).Select(l => l.Split(' ')[1]), StringComparer.Ordinal);

    [Fact]
    public void A_tree_stands_with_its_form_beside_its_fields_and_a_list_under_items()
    {
        Footprint shape = new Footprint.Rectangle(new(120_500), new(80_000));
        Assert.Equal("""{"v":1,"$kind":"rectangle","width":120500,"depth":80000}""", JsonColumn.Write(shape, 1));
        Assert.Equal(shape, JsonColumn.Read<Footprint>("""{"v":1,"$kind":"rectangle","width":120500,"depth":80000}""", 1));
        IReadOnlyList<Loss> losses = [new("7", 800, "bowl")];
        var text = JsonColumn.Write(losses, 1);
        Assert.StartsWith("""{"v":1,"items":[{""", text, StringComparison.Ordinal);
        Assert.Equal(losses, JsonColumn.Read<IReadOnlyList<Loss>>(text, 1));
        Assert.Equal("""{"v":1,"items":[]}""", JsonColumn.Write<IReadOnlyList<Loss>>([], 1));
    }

    [Fact]
    public void What_the_first_release_wrote_without_a_form_is_read_as_form_1()
    {
        Assert.Equal(new Footprint.Circle(new(90_000)), JsonColumn.Read<Footprint>("""{"$kind": "circle", "diameter": 90000}""", 2));
        Assert.Empty(JsonColumn.Read<IReadOnlyList<Loss>>("[]", 2));
    }

    [Fact]
    public void A_later_form_is_refused_by_a_sentence()
    {
        var refused = Assert.Throws<NotSupportedException>(() => JsonColumn.Read<Footprint>("""{"$kind": "circle", "diameter": 90000, "v": 3}""", 2));
        Assert.Contains("form 3", refused.Message, StringComparison.Ordinal);
        Assert.Contains("newer KilnShare", refused.Message, StringComparison.Ordinal);
    }

    // Written again, an old row says what it said and its form; so nothing of it was overlooked in reading.
    [Fact]
    public async Task Every_stored_document_of_the_first_release_is_read_and_written_whole()
    {
        var links = await database.Restore(FirstRelease.Sql());
        await DatabaseSetup.Migrate(links, TestContext.Current.CancellationToken);
        await using var admin = new NpgsqlConnection(links.Admin + ";Pooling=false");
        await admin.OpenAsync(TestContext.Current.CancellationToken);
        var seen = new List<string>();
        var without = new List<string>();
        foreach (var column in Columns().Where(c => c.GetColumnType() == "jsonb" && c.GetTypeMapping().Converter is not null))
        {
            var before = seen.Count;
            var (name, table) = (column.GetColumnName(), column.DeclaringType.GetTableName());
            await using var read = new NpgsqlCommand($"select \"{name}\"::text from \"{table}\" where \"{name}\" is not null", admin);
            await using var row = await read.ExecuteReaderAsync(TestContext.Current.CancellationToken);
            while (await row.ReadAsync(TestContext.Current.CancellationToken))
            {
                var stored = row.GetString(0);
                var converter = column.GetTypeMapping().Converter!;
                var again = JsonNode.Parse((string)converter.ConvertToProvider(converter.ConvertFromProvider(stored))!)!.AsObject();
                Assert.Equal(1, (int)again["v"]!);
                var was = JsonNode.Parse(stored)!;
                again.Remove("v");
                var now = was is JsonArray ? again["items"]! : again;
                Assert.True(IsWhole(was, now), $"{Name(column)}\nwas {was.ToJsonString()}\nis  {now.ToJsonString()}");
                seen.Add(stored);
            }

            if (seen.Count == before) without.Add(Name(column));
        }

        Assert.True(seen.Count > 100, $"Only {seen.Count} documents.");
        Assert.Equal(AddedSince, without);
    }

    // Columns that the first release did not have.
    private static readonly string[] AddedSince =
    [
        "load_item.before", "firing_correction.copies",
        "earlier_outcome.defects", "earlier_outcome.details", "earlier_outcome.look", "outcome.details", "outcome.look",
    ];

    // Fields that the first release did not have, in any column: an old row says nothing of them, and is written with what absence means.
    private static readonly HashSet<string> FieldsAddedSince = new(StringComparer.Ordinal)
    {
        "organics", "leadFreeByLabel", "lid", "steep", "testTile", "goesOnBefore", "coneIsMeant", "further", "testWare", "appliedBy", "batch",
    };

    private static bool IsWhole(JsonNode? was, JsonNode? now) => (was, now) switch
    {
        (JsonObject old, JsonObject written) => old.All(field => written.ContainsKey(field.Key) && IsWhole(field.Value, written[field.Key]))
            && written.All(field =>
                old.ContainsKey(field.Key) || (FieldsAddedSince.Contains(field.Key) && (field.Value is null or JsonArray { Count: 0 } || !(bool)field.Value))),
        (JsonArray old, JsonArray written) => old.Count == written.Count && old.Zip(written).All(pair => IsWhole(pair.First, pair.Second)),
        _ => JsonNode.DeepEquals(was, now),
    };

    private static IEnumerable<IProperty> Columns()
    {
        using var db = new DesignFactory().CreateDbContext([]);
        return [.. db.Model.GetEntityTypes().SelectMany(e => e.GetProperties()).Where(p => p.GetColumnType() == "jsonb" || Bare(p.ClrType).IsEnum)];
    }

    private static string Name(IProperty column) => $"{column.DeclaringType.GetTableName()}.{column.GetColumnName()}";

    private static IEnumerable<string> Lines(IProperty column)
    {
        if (Bare(column.ClrType) is { IsEnum: true } words) return Enum.GetNames(words).Select(w => $"{Name(column)} = {w}");
        return column.ClrType == typeof(string)
            ? [$"{Name(column)} text of its own"] : Lines(column.ClrType, "", []).Distinct(StringComparer.Ordinal).Select(l => $"{Name(column)} {l}");
    }

    /// <summary>Each place of a document with what stands there, by the names under which it is stored.</summary>
    private static IEnumerable<string> Lines(Type type, string at, IReadOnlyList<Type> above)
    {
        var bare = Bare(type);
        if (above.Contains(bare)) return [$"{at} as above"];
        var form = JsonColumn.FormOf(bare);
        IReadOnlyList<Type> deeper = [.. above, bare];
        if (form.PolymorphismOptions is { } kinds)
        {
            return kinds.DerivedTypes.SelectMany(k => Lines(k.DerivedType, $"{at}[{kinds.TypeDiscriminatorPropertyName}={k.TypeDiscriminator}]", deeper)
                .Prepend($"{at} {kinds.TypeDiscriminatorPropertyName}={k.TypeDiscriminator}"));
        }

        return form.Kind switch
        {
            JsonTypeInfoKind.Object => form.Properties.SelectMany(p => Lines(p.PropertyType, $"{at}/{p.Name}", deeper)),
            JsonTypeInfoKind.Enumerable => Lines(form.ElementType!, at + "[]", deeper),
            JsonTypeInfoKind.Dictionary => Lines(form.ElementType!, at + "{}", deeper),
            _ when bare.IsEnum => Enum.GetValues(bare).Cast<object>().Select(v => $"{at} = {JsonSerializer.Serialize(v, form.Options).Trim('"')}"),
            _ => [$"{at} {Word(bare)}"],
        };
    }

    private static string Word(Type type) => Type.GetTypeCode(type) switch
    {
        TypeCode.Boolean => "true or false",
        TypeCode.String => "text",
        TypeCode.Object => type == typeof(Length) ? "number" : "text", // a cone, an id, an instant: JsonColumn writes Core's own values out
        _ => "number",
    };

    private static Type Bare(Type type) => Nullable.GetUnderlyingType(type) ?? type;
}
