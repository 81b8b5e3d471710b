using System.Text.Json.Nodes;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Access;

/// <summary>One thing of every kind in a studio, by the names that paths and bodies give to ids.</summary>
public sealed class World
{
    // Room is kept in firings to come only.
    private const int FarOff = 6_000;
    private readonly Dictionary<string, Guid> ids = new(StringComparer.Ordinal);

    private World(TestStudio studio) => Studio = studio;

    public TestStudio Studio { get; }

    /// <summary>Every id of this world.</summary>
    public IEnumerable<Guid> Ids => ids.Values;

    /// <summary>The thing that such an id names; null where this world has none.</summary>
    public Guid? Find(string name) => ids.TryGetValue(name, out var id) ? id : null;

    /// <summary>A studio of its own; the ware is its potter's.</summary>
    public static async Task<World> Make(Service service)
    {
        var studio = await service.MakeStudio();
        return await Furnish(new World(studio), studio.Potter, studio.PotterId);
    }

    /// <summary>Things of the other potter in the same studio.</summary>
    public static Task<World> Neighbour(World world) => Furnish(new World(world.Studio), world.Studio.OtherPotter, world.Studio.OtherPotterId);

    private static async Task<World> Furnish(World world, Caller potter, Guid member)
    {
        var studio = world.Studio;
        var (kiln, clay, glaze) = (await studio.MakeKiln(), await studio.MakeClay(), await studio.MakeGlaze());
        var firing = await studio.MakeFiring(kiln, FarOff);
        var piece = await studio.MakePiece(potter, clay, glaze);
        var booking = TestStudio.IdOf(await potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece } } }));
        var reserve = TestStudio.IdOf(
            await potter.Post($"{studio.Path}/firings/{firing}/reserves", new { room = new[] { new { footprint = TestStudio.Circle(170), heightMm = 60 } } }));
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/unmetered-energy",
            new { ratedKw = 11.5, duty = new[] { new { hours = 9, dutyPercent = 50 } } })).Expect(System.Net.HttpStatusCode.OK);
        var reading = TestStudio.IdOf(
            await studio.Technician.Post($"{studio.Path}/firings/{firing}/meter-readings", new { readAt = "2046-01-01T10:00:00Z", registerKwh = 10 }));
        (await studio.Technician.Post($"{studio.Path}/firings/{firing}/meter-readings/{reading}/strike", new { reason = "counts for nothing here" }))
            .Expect(System.Net.HttpStatusCode.OK);
        var token = TestStudio.IdOf(await studio.Owner.Post($"{studio.Path}/members/{member}/tokens", new { label = "spare" }));
        var schedule = TestStudio.IdOf(await studio.Technician.Post(
            studio.Path + "/schedules", new { name = "ramp", startC = 20, segments = new[] { new { rateCPerHour = 100, toC = 1000 } } }));
        var tariff = TestStudio.IdOf(await studio.Technician.Post(
            studio.Path + "/tariffs", new { name = "flat", currency = "EUR", periods = new[] { new { name = "all", perKwh = "0.3" } } }));
        var outcome = await Judge(studio, potter, kiln, await studio.MakePiece(potter, clay, glaze));
        foreach (var (name, id) in new[] { ("outcomeId", outcome), ("readingId", reading), ("scheduleId", schedule), ("tariffId", tariff), ("causedBy", member),
            ("studioId", studio.Id), ("memberId", member), ("tokenId", token), ("kilnId", kiln), ("clayId", clay), ("glazeId", glaze), ("pieceId", piece),
            ("firingId", firing), ("bookingId", booking), ("reserveId", reserve) })
            world.ids[name] = id;
        return world;
    }

    /// <summary>Fires a piece, and has its potter write down how it came out.</summary>
    private static async Task<Guid> Judge(TestStudio studio, Caller potter, Guid kiln, Guid piece)
    {
        var firing = await studio.MakeFiring(kiln, FarOff + 1);
        var path = $"{studio.Path}/firings/{firing}";
        (await studio.Technician.Put(path + "/state", new { state = "fixed" })).Expect(System.Net.HttpStatusCode.OK);
        (await studio.Technician.Put(path + "/load", new { placed = new[] { new { pieceId = piece } } })).Expect(System.Net.HttpStatusCode.OK);
        foreach (object state in new object[] { new { state = "heating", answeredBy = "Tilo" }, new { state = "cooling" },
            new { state = "unloaded", outcome = "sound" } })
            (await studio.Technician.Put(path + "/state", state)).Expect(System.Net.HttpStatusCode.OK);
        return TestStudio.IdOf(await potter.Post($"{studio.Path}/pieces/{piece}/outcomes", new { firingId = firing, grade = "good" }));
    }

    /// <summary>A studio's world that is nobody's: every id is new.</summary>
    public static Guid Absent(string name) =>
        new(System.Security.Cryptography.SHA256.HashData(System.Text.Encoding.UTF8.GetBytes("absent " + name)).AsSpan(0, 16));

    /// <summary>A body with the ids of this world put in where its example has ids.</summary>
    public JsonNode Fill(JsonNode body, string? only = null, Func<string, Guid>? instead = null) => Walk(body.DeepClone(), "", only, instead);

    private JsonNode Walk(JsonNode node, string pointer, string? only, Func<string, Guid>? instead)
    {
        if (node is JsonObject fields)
        {
            foreach (var (name, value) in fields.ToList())
            {
                if (value is null) continue;
                var at = $"{pointer}/{name}";
                fields[name] = value is JsonValue text && text.TryGetValue<string>(out var old) && Guid.TryParseExact(old, "D", out _)
                    ? JsonValue.Create((only is null || only == at) && instead is not null ? instead(name) : Find(name) ?? Guid.Parse(old))
                    : Walk(value.DeepClone(), at, only, instead);
            }
        }
        else if (node is JsonArray list)
        {
            for (var i = 0; i < list.Count; i++)
                if (list[i] is { } item) list[i] = Walk(item.DeepClone(), $"{pointer}/{i}", only, instead);
        }

        return node;
    }

    /// <summary>The pointers of every id in a body.</summary>
    public static IEnumerable<string> Pointers(JsonNode? node, string pointer = "") => node switch
    {
        JsonObject fields => fields.SelectMany(f => Pointers(f.Value, $"{pointer}/{f.Key}")),
        JsonArray list => list.SelectMany((item, i) => Pointers(item, $"{pointer}/{i}")),
        JsonValue value when value.TryGetValue<string>(out var text) && Guid.TryParseExact(text, "D", out _) => [pointer],
        _ => [],
    };
}
