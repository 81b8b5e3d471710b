using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Outcomes;

/// <summary>A studio that fires, in as few requests as its evidence needs.</summary>
internal sealed class FiredStudio
{
    /// <summary>Days since 1970 of the first firing; each is three days after the one before it.</summary>
    public const int FirstDay = 28_203;

    private int turn;

    private FiredStudio(TestStudio studio, Guid kiln, Guid clay, Guid glaze) => (Studio, Kiln, Clay, Glaze) = (studio, kiln, clay, glaze);

    public TestStudio Studio { get; }

    public Guid Kiln { get; }

    /// <summary>A stoneware called "clay 5-7".</summary>
    public Guid Clay { get; }

    /// <summary>A stable glaze called "quiet white".</summary>
    public Guid Glaze { get; }

    public static async Task<FiredStudio> Open(Service service)
    {
        var studio = await service.MakeStudio();
        return new FiredStudio(studio, await studio.MakeKiln(), await studio.MakeClay(), await studio.MakeGlaze());
    }

    /// <summary>A potter's bisque ware under that many coats.</summary>
    public async Task<Guid> Piece(string mark, int coats = 2, int quantity = 1, string? appliedBy = null, string? batch = null, Guid? clay = null) =>
        TestStudio.IdOf(await Studio.Potter.Post(Studio.Path + "/pieces", new
        {
            name = "cylinder",
            mark,
            quantity,
            footprint = TestStudio.Circle(60),
            heightMm = 80,
            massG = 200,
            clayId = clay ?? Clay,
            layers = new[] { new { glazeId = Glaze, coats, appliedBy, batch } },
            stage = "bisque",
            bisquedAt = "04",
            bareFootMm = 6,
        }));

    /// <summary>Fires the pieces together at cone 6 or another, and unloads them.</summary>
    public async Task<Guid> Fire(IReadOnlyList<Guid> pieces, string cone = "6")
    {
        var firing = await Studio.MakeFiring(Kiln, turn: ++turn, cone: cone);
        var booked = (await Studio.Potter.Post($"{Studio.Path}/firings/{firing}/bookings", new { pieces = pieces.Select(pieceId => new { pieceId }) }))
            .Expect(HttpStatusCode.Created);
        Assert.True(booked.Body.GetProperty("state").GetString() == "confirmed", booked.Text);
        (await Studio.Technician.Put($"{Studio.Path}/firings/{firing}/state", new { state = "fixed" })).Expect(HttpStatusCode.OK);
        (await Studio.Technician.Put($"{Studio.Path}/firings/{firing}/load", new { asPlanned = true })).Expect(HttpStatusCode.OK);
        foreach (var state in (string[])["heating", "cooling", "unloaded"])
            (await Studio.Technician.Put($"{Studio.Path}/firings/{firing}/state",
                new { state, answeredBy = state == "heating" ? "Tilo" : null, outcome = state == "unloaded" ? "sound" : null })).Expect(HttpStatusCode.OK);
        return firing;
    }

    /// <summary>All of a firing came out good, except one mark that crazed.</summary>
    public async Task Judge(Guid firing, string? crazed = null) => (await Studio.Technician.Post($"{Studio.Path}/firings/{firing}/outcomes", new
    {
        others = "good",
        except = crazed is null ? [] : new object[] { new { mark = crazed, copies = new[] { 0 }, grade = "poor", defects = new[] { "crazing" } } },
    })).Expect(HttpStatusCode.OK);

    public async Task<List<JsonElement>> Rows(string query = "") =>
        [.. (await Studio.Viewer.Get(Studio.Path + "/evidence" + query)).Expect(HttpStatusCode.OK).Body.GetProperty("rows").EnumerateArray()];
}
