using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Outcomes;

/// <summary>Three mugs of one potter and a bowl of another in one firing.</summary>
internal sealed record MugLoad(TestStudio Studio, string Firing, Guid Mine, Guid Other)
{
    public static async Task<MugLoad> Make(Service service, string otherMark = "O", bool asPlanned = true)
    {
        var studio = await service.MakeStudio();
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var firing = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln())}";
        var load = new MugLoad(studio, firing, await Piece(studio.Potter, "test mug", "X", 3), await Piece(studio.OtherPotter, "test bowl", otherMark, 1));
        foreach (var (who, piece) in new[] { (studio.Potter, load.Mine), (studio.OtherPotter, load.Other) })
            (await who.Post(firing + "/bookings", new { pieces = new[] { new { pieceId = piece } } })).Expect(HttpStatusCode.Created);
        (await studio.Technician.Put(firing + "/state", new { state = "fixed" })).Expect(HttpStatusCode.OK);
        if (asPlanned) (await studio.Technician.Put(firing + "/load", new { asPlanned })).Expect(HttpStatusCode.OK);
        return load;

        async Task<Guid> Piece(Caller potter, string name, string mark, int quantity) => TestStudio.IdOf(await potter.Post(studio.Path + "/pieces", new
        {
            name,
            mark,
            quantity,
            footprint = TestStudio.Circle(90),
            heightMm = 100,
            clayId = clay,
            layers = new[] { new { glazeId = glaze, coats = 2 } },
            stage = "bisque",
            bisquedAt = "04",
            bareFootMm = 6,
        }));
    }

    public static async Task<MugLoad> Unload(Service service, string otherMark = "O")
    {
        var load = await Make(service, otherMark);
        (await load.Studio.Technician.Put(load.Firing + "/state", new { state = "heating", answeredBy = "Tilo" })).Expect(HttpStatusCode.OK);
        (await load.Studio.Technician.Put(load.Firing + "/state", new { state = "cooling" })).Expect(HttpStatusCode.OK);
        (await load.Studio.Technician.Put(load.Firing + "/state", new { state = "unloaded", outcome = "sound" })).Expect(HttpStatusCode.OK);
        return load;
    }

    public async Task<IReadOnlyList<(Guid Piece, int Copy, string Grade)>> Outcomes() =>
        [.. (await Studio.Technician.Get($"{Studio.Path}/outcomes?firingId={Firing.Split('/')[^1]}")).Expect(HttpStatusCode.OK).Body.GetProperty("items")
            .EnumerateArray()
            .Select(o => (o.GetProperty("pieceId").GetGuid(), o.GetProperty("copy").GetInt32(), o.GetProperty("grade").GetString()!))];

    /// <summary>The firing's id.</summary>
    public string FiringId => Firing.Split('/')[^1];

    /// <summary>Writes down how a mug came out; where that outcome is.</summary>
    public async Task<string> Write(int copy, string grade, string? note = null) =>
        (await Studio.Potter.Post($"{Studio.Path}/pieces/{Mine}/outcomes", new { firingId = FiringId, copy, grade, note }))
            .Expect(HttpStatusCode.Created).Headers.Location!.ToString();

    /// <summary>What a mug has been fired to.</summary>
    public async Task<string?> StageOf(int copy) => (await Studio.Potter.Get($"{Studio.Path}/pieces/{Mine}")).Expect(HttpStatusCode.OK).Body
        .GetProperty("copies").EnumerateArray().Single(c => c.GetProperty("copy").GetInt32() == copy).GetProperty("stage").GetString();

    /// <summary>Puts a mug into a later firing, which comes out as well.</summary>
    public async Task FireAgain(int copy)
    {
        var kiln = (await Studio.Technician.Get(Firing)).Expect(HttpStatusCode.OK).Body.GetProperty("kilnId").GetGuid();
        var again = $"{Studio.Path}/firings/{await Studio.MakeFiring(kiln, turn: 9)}";
        (await Studio.Technician.Put(again + "/state", new { state = "fixed" })).Expect(HttpStatusCode.OK);
        (await Studio.Technician.Put(again + "/load", new { placed = new[] { new { pieceId = Mine, copies = new[] { copy } } } })).Expect(HttpStatusCode.OK);
    }
}
