using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>A studio with a kiln, a firing that takes bookings, and ware for it.</summary>
internal sealed record Place(TestStudio Studio, Guid Kiln, string Firing, Guid Clay, Guid Glaze)
{
    public static async Task<Place> Make(Service service)
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        return new Place(studio, kiln, $"{studio.Path}/firings/{await studio.MakeFiring(kiln, 5_000)}", await studio.MakeClay(), await studio.MakeGlaze());
    }

    public Task<Guid> Piece() => Studio.MakePiece(Studio.Potter, Clay, Glaze);

    public async Task<Reply> Book(Guid? piece = null) =>
        await Studio.Potter.Post(Firing + "/bookings", new { pieces = new[] { new { pieceId = piece ?? await Piece() } } });

    public Task<Reply> Move(string state) => Studio.Technician.Put(Firing + "/state", new { state });

    public Task<Reply> Load(Guid piece) =>
        Studio.Technician.Put(Firing + "/load", new { placed = new[] { new { pieceId = piece } }, leftBehind = Array.Empty<object>() });

    /// <summary>Puts shelves of one other kind into the kiln.</summary>
    public Task<Reply> Furnish(string shelf, int diameterMm = 533, int extraPosts = 0) => Studio.Technician.Put(
        $"{Studio.Path}/kilns/{Kiln}/furniture",
        new
        {
            shelves = new[] { new { id = shelf, footprint = TestStudio.Circle(diameterMm), thicknessMm = 19, count = 4 } },
            posts = new[] { new { heightMm = 25, count = 9 + extraPosts }, new { heightMm = 50, count = 9 }, new { heightMm = 100, count = 12 },
                new { heightMm = 150, count = 12 } },
        },
        "*");
}
