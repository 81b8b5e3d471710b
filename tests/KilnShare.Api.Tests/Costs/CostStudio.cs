using System.Globalization;
using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Costs;

/// <summary>A studio with a kiln, ware of two potters, and firings that have run.</summary>
public sealed class CostStudio
{
    private int firings;

    private CostStudio(TestStudio studio) => Studio = studio;

    public TestStudio Studio { get; }

    public string Path => Studio.Path;

    public Guid Kiln { get; private set; }

    public Guid OtherPotterId { get; private set; }

    private Guid Clay { get; set; }

    private Guid Glaze { get; set; }

    public static async Task<CostStudio> Make(Service service, string currency = "EUR")
    {
        var made = new CostStudio(await service.MakeStudio(currency));
        made.Kiln = await made.Studio.MakeKiln();
        made.Clay = TestStudio.IdOf(await made.Studio.Technician.Post(made.Path + "/clays", new
        {
            name = "grey stoneware",
            cones = new { from = "5", to = "7" },
            atmospheres = new[] { "oxidation" },
            expansionPpmPerC = 6.9,
            expansionMethod = "dilatometer",
            contains = Array.Empty<object>(),
        }));
        made.Glaze = await made.Studio.MakeGlaze();
        made.OtherPotterId = (await made.Studio.OtherPotter.Get("/v1/me")).Body.GetProperty("memberId").GetGuid();
        return made;
    }

    public Task<Guid> Piece(Caller potter, int quantity = 1, int heightMm = 100) => Studio.MakePiece(potter, Clay, Glaze, quantity, heightMm: heightMm);

    /// <summary>Takes another kiln from now on.</summary>
    public Task UseKiln(Guid kiln) => Task.FromResult(Kiln = kiln);

    /// <summary>A firing open for bookings.</summary>
    public Task<Guid> Accepting(Guid? schedule = null) => Studio.MakeFiring(Kiln, TestStudio.Soon + ++firings, schedule: schedule);

    /// <summary>A firing with three equal pieces of one potter and one of the other, metered and unloaded.</summary>
    public async Task<Guid> Unloaded(decimal kwh = 63.4m, string outcome = "sound", Guid? schedule = null)
    {
        var firing = await Accepting(schedule);
        await Fire(firing, [await Piece(Studio.Potter, 3), await Piece(Studio.OtherPotter)], kwh, outcome);
        return firing;
    }

    /// <summary>Loads these pieces into an open firing, fires and meters it; null: nobody read the meter.</summary>
    public async Task Fire(Guid firing, IReadOnlyList<Guid> pieces, decimal? kwh = 63.4m, string outcome = "sound")
    {
        var path = $"{Path}/firings/{firing}";
        await Move(path, "fixed");
        (await Studio.Technician.Put(path + "/load", new { placed = pieces.Select(id => new { pieceId = id }) })).Expect(HttpStatusCode.OK);
        if (kwh is { } metered)
        {
            await Meter(path, "2026-01-10T08:00:00Z", 4821.4m);
            await Meter(path, "2026-01-10T20:00:00Z", 4821.4m + metered);
        }

        (await Studio.Technician.Put(path + "/state", new { state = "heating", answeredBy = "Tilo" })).Expect(HttpStatusCode.OK);
        await Move(path, "cooling");
        (await Studio.Technician.Put(path + "/state", new { state = "unloaded", outcome })).Expect(HttpStatusCode.OK);
    }

    /// <summary>A firing settled.</summary>
    public async Task<Guid> Settled(decimal kwh = 63.4m)
    {
        var firing = await Unloaded(kwh);
        (await Studio.Technician.Post($"{Path}/firings/{firing}/settlement")).Expect(HttpStatusCode.Created);
        return firing;
    }

    public async Task<JsonElement> Rules(object rules) =>
        (await Studio.Owner.Send(HttpMethod.Put, Path + "/cost-rules", rules, ifMatch: "*")).Expect(HttpStatusCode.OK).Body;

    public async Task<JsonElement> Pay(Guid member, string kind, long amountMinor, string? reason = null) =>
        (await Studio.Owner.Post(Path + "/payments", new { memberId = member, kind, amountMinor, reason })).Expect(HttpStatusCode.Created).Body;

    /// <summary>The balance of a member's account.</summary>
    public async Task<long> Balance(Guid member) =>
        (await Studio.Owner.Get(Path + "/accounts")).Expect(HttpStatusCode.OK).Body.GetProperty("items").EnumerateArray()
        .Single(a => a.GetProperty("memberId").ValueKind == JsonValueKind.String && a.GetProperty("memberId").GetGuid() == member).GetProperty("balanceMinor")
            .GetInt64();

    public Task<Reply> Statement(Caller caller, Guid member, string from, string to, string form = "") =>
        caller.Get($"{Path}/accounts/{member}/statement{form}?from={from}&to={to}");

    /// <summary>Each share of a split by its party, the studio under an empty name.</summary>
    public static Dictionary<string, long> Shares(JsonElement split) => split.GetProperty("shares").EnumerateArray()
        .ToDictionary(s => s.GetProperty("id").GetString() ?? "", s => s.GetProperty("amountMinor").GetInt64(), StringComparer.Ordinal);

    public static string Day(DateTimeOffset at) => at.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private async Task Move(string path, string state) => (await Studio.Technician.Put(path + "/state", new { state })).Expect(HttpStatusCode.OK);

    private async Task Meter(string path, string readAt, decimal registerKwh) =>
        (await Studio.Technician.Post(path + "/meter-readings", new { readAt, registerKwh })).Expect(HttpStatusCode.Created);
}
