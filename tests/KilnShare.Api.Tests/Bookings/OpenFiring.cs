using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>A firing that takes bookings, and what its people do.</summary>
internal sealed record OpenFiring(TestStudio Studio, string Firing, Guid Clay, Guid Glaze)
{
    public static Guid IdOf(JsonElement booking) => booking.GetProperty("id").GetGuid();

    public static object Room(int diameterMm, int heightMm, int quantity, DateTimeOffset? until = null) => new
    {
        room = new[] { new { footprint = TestStudio.Circle(diameterMm), heightMm, quantity } },
        until = until?.ToString("yyyy-MM-ddTHH:mm:ss.fffZ", System.Globalization.CultureInfo.InvariantCulture),
    };

    public Task<Guid> Piece(Caller potter, int diameterMm, int heightMm, int quantity = 1) =>
        Studio.MakePiece(potter, Clay, Glaze, quantity, diameterMm, heightMm);

    public async Task<JsonElement> Reserve(Caller potter, int diameterMm, int heightMm, int quantity = 1, DateTimeOffset? until = null) =>
        (await potter.Post(Firing + "/reserves", Room(diameterMm, heightMm, quantity, until))).Expect(HttpStatusCode.Created).Body;

    public Task<Reply> Book(Caller potter, Guid piece, JsonElement? reserve = null, bool mayWait = false)
    {
        var (pieces, reserveId) = (new[] { new { pieceId = piece } }, reserve is { } named ? IdOf(named) : (Guid?)null);
        return potter.Post(Firing + "/bookings", new { pieces, reserveId, mayWait, accepts = new[] { "glaze-body-expansion" } });
    }

    public async Task<JsonElement> Read(JsonElement booking) =>
        (await Studio.Viewer.Get($"{Firing}/bookings/{IdOf(booking)}")).Expect(HttpStatusCode.OK).Body;

    public async Task LightAt(DateTimeOffset at) =>
        (await Studio.Technician.Patch(Firing,
            new { startsAt = at.ToString("yyyy-MM-ddTHH:mm:ss.fffZ", System.Globalization.CultureInfo.InvariantCulture) }, "*")).Expect(HttpStatusCode.OK);

    public Task<Reply> Load(Guid piece) =>
        Studio.Technician.Put(Firing + "/load", new { placed = new[] { new { pieceId = piece } }, leftBehind = Array.Empty<object>() });

    public async Task<string?> StateWithin(JsonElement booking, string wanted)
    {
        for (var tries = 0; ; tries++)
        {
            var state = (await Read(booking)).GetProperty("state").GetString();
            if (state == wanted || tries == 600) return state;
            await Task.Delay(100, TestContext.Current.CancellationToken);
        }
    }
}
