using System.Net;

namespace KilnShare.Api.Tests.Common;

/// <summary>A studio made for a test, with a member of each role and what a firing needs.</summary>
public sealed class TestStudio
{
    private const int FirstFiringDay = 28_200; // in 2047: firings lie ahead whenever the tests run

    private TestStudio(Guid id, Caller owner) => (Id, Owner) = (id, owner);

    public Guid Id { get; }

    public Caller Owner { get; }

    public Caller Technician { get; private set; } = null!;

    public string? TechnicianToken { get; private set; }

    public Caller Potter { get; private set; } = null!;

    public Guid PotterId { get; private set; }

    public Caller OtherPotter { get; private set; } = null!;

    public Guid OtherPotterId { get; private set; }

    public Guid OwnerId { get; private set; }

    public Caller Viewer { get; private set; } = null!;

    /// <summary>Where its resources are.</summary>
    public string Path => $"/v1/studios/{Id}";

    public static async Task<TestStudio> Make(Service service, string currency)
    {
        var made = (await service.As(Service.InstallationToken).Post(
            "/v1/studios", new { name = "Test studio", timeZone = "Europe/Berlin", currency, perKwh = "0.312", ownerName = "Alma" }))
                .Expect(HttpStatusCode.Created).Body;
        var studio = new TestStudio(made.GetProperty("studio").GetProperty("id").GetGuid(), service.As(made.GetProperty("token").GetString()));
        (_, studio.TechnicianToken) = await studio.AddToken("Tilo", "technician");
        studio.Technician = service.As(studio.TechnicianToken);
        (studio.PotterId, studio.Potter) = await studio.Add(service, "Mira", "potter");
        (studio.OtherPotterId, studio.OtherPotter) = await studio.Add(service, "Jonas", "potter");
        studio.OwnerId = made.GetProperty("owner").GetProperty("id").GetGuid();
        studio.Viewer = (await studio.Add(service, "Vera", "viewer")).Caller;
        return studio;
    }

    /// <summary>The same studio, run by another owner.</summary>
    public TestStudio RunBy(Caller owner) => new(Id, owner);

    /// <summary>Takes in a member with a token.</summary>
    public async Task<(Guid Id, Caller Caller)> Add(Service service, string name, string role)
    {
        var (id, token) = await AddToken(name, role);
        return (id, service.As(token));
    }

    private async Task<(Guid Id, string? Token)> AddToken(string name, string role)
    {
        var id = IdOf(await Owner.Post(Path + "/members", new { name, role }));
        return (id, (await Owner.Post($"{Path}/members/{id}/tokens", new { label = "test" })).Expect(HttpStatusCode.Created).Body.GetProperty("token")
            .GetString());
    }

    /// <summary>A round top-loader with full and half shelves.</summary>
    public async Task<Guid> MakeKiln(decimal? ratedKw = null, object? wall = null, Guid? tariff = null, object? keepOuts = null) =>
        IdOf(await Technician.Post(Path + "/kilns", new
        {
            name = "Round top-loader",
            ratedCone = "10",
            wearMinor = 450,
            ratedKw,
            wall = wall ?? Array.Empty<object>(),
            tariffId = tariff,
            keepOuts = keepOuts ?? Array.Empty<object>(),
            chamber = new { footprint = Circle(585), heightMm = 685, wallClearanceMm = 25, lidClearanceMm = 12 },
            furniture = new
            {
                shelves = new object[]
            {
                new { id = "full", footprint = Circle(533), thicknessMm = 19, count = 4 },
                new { id = "half", footprint = new { kind = "halfCircle", diameterMm = 533 }, thicknessMm = 19, count = 4 },
            },
                posts = new[] { new { heightMm = 25, count = 9 }, new { heightMm = 50, count = 9 }, new { heightMm = 100, count = 12 },
                new { heightMm = 150, count = 12 } },
            },
        }));

    /// <summary>A stoneware for cone 5 to 7.</summary>
    public async Task<Guid> MakeClay(string from = "5", string to = "7") => IdOf(await Technician.Post(Path + "/clays", new
    {
        name = $"clay {from}-{to}",
        cones = new { from, to },
        atmospheres = new[] { "oxidation" },
        expansionPpmPerC = 6.9,
        expansionMethod = "dilatometer",
        contains = Array.Empty<object>(),
    }));

    /// <summary>A stable white glaze for cone 5 to 6.</summary>
    public async Task<Guid> MakeGlaze() => IdOf(await Technician.Post(Path + "/glazes", new
    {
        name = "quiet white",
        cones = new { from = "5", to = "6" },
        movement = "stable",
        atmospheres = new[] { "oxidation" },
        expansionPpmPerC = 6.2,
        expansionMethod = "dilatometer",
        contains = Array.Empty<object>(),
    }));

    /// <summary>Round bisque ware with one glaze, nothing to complain of at cone 6.</summary>
    public async Task<Guid> MakePiece(Caller potter, Guid clay, Guid glaze, int quantity = 1, int diameterMm = 90, int heightMm = 100) =>
        IdOf(await potter.Post(Path + "/pieces", new
        {
            name = "cylinder",
            mark = "C",
            quantity,
            footprint = Circle(diameterMm),
            heightMm,
            massG = 400,
            clayId = clay,
            layers = new[] { new { glazeId = glaze, coats = 2 } },
            stage = "bisque",
            bisquedAt = "04",
            bareFootMm = 6,
        }));

    /// <summary>A cone 6 glaze firing, open for bookings unless said otherwise.</summary>
    public async Task<Guid> MakeFiring(Guid kiln, int turn = 2, bool accepting = true, string cone = "6", Guid? schedule = null)
    {
        var start = DateTimeOffset.UnixEpoch.AddDays(FirstFiringDay + (turn * 3));
        var id = IdOf(await Technician.Post(Path + "/firings", new
        {
            kilnId = kiln,
            kind = "glaze",
            cone,
            scheduleId = schedule,
            startsAt = start.ToString(
            "yyyy-MM-ddTHH:mm:ssZ"),
            firingHours = 11,
            coolingHours = 20
        }));
        if (accepting) (await Technician.Put($"{Path}/firings/{id}/state", new { state = "accepting" })).Expect(HttpStatusCode.OK);
        return id;
    }

    /// <summary>The turn of a firing that begins in three to six days.</summary>
    public static int Soon => ((int)(DateTimeOffset.UtcNow - DateTimeOffset.UnixEpoch).TotalDays - FirstFiringDay) / 3 + 1;

    /// <summary>A fixed glaze firing that was to begin at a moment in the past.</summary>
    public async Task<Guid> MakePastFiring(Guid kiln, DateTimeOffset start, string cone = "6", Guid? schedule = null)
    {
        var id = IdOf(await Technician.Post(Path + "/firings",
            new { kilnId = kiln, kind = "glaze", cone, scheduleId = schedule, startsAt = start.ToString("O"), firingHours = 11, coolingHours = 20 }));
        foreach (var state in (string[])["accepting", "fixed"]) (await Technician.Put($"{Path}/firings/{id}/state", new { state })).Expect(HttpStatusCode.OK);
        return id;
    }

    /// <summary>Loads a fixed firing with nothing that was booked, and lights it.</summary>
    public async Task Heat(string firing)
    {
        (await Technician.Put($"{Path}/firings/{firing}/load", new { placed = Array.Empty<object>(), leftBehind = Array.Empty<object>() }))
            .Expect(HttpStatusCode.OK);
        (await Technician.Put($"{Path}/firings/{firing}/state", new { state = "heating", answeredBy = "Tilo" })).Expect(HttpStatusCode.OK);
    }

    /// <summary>A circle in millimetres.</summary>
    public static object Circle(decimal diameterMm) => new { kind = "circle", diameterMm };

    /// <summary>The id of what was made.</summary>
    public static Guid IdOf(Reply reply) => reply.Expect(HttpStatusCode.Created).Body.GetProperty("id").GetGuid();
}
