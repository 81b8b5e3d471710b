using System.Net;
using KilnShare.Api.Tests.Bookings;
using KilnShare.Api.Tests.Common;
using KilnShare.Storage.Common;

namespace KilnShare.Api.Tests.Storage;

/// <summary>
/// Rows of the first release that hang in firings that are over: the queries name them, and the migration mends them as the owner of the tables.
/// </summary>
public sealed class BookingEndsTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Old_rows_are_seen_mended_and_told()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        var (loaded, off) = ($"{studio.Path}/firings/{await studio.MakeFiring(kiln, 1)}", $"{studio.Path}/firings/{await studio.MakeFiring(kiln, 2)}");
        var bookings = new List<string>();
        foreach (var path in new[] { loaded, off })
        {
            foreach (var potter in new[] { studio.Potter, studio.OtherPotter })
            {
                var wide = await studio.MakePiece(potter, clay, glaze, diameterMm: 400, heightMm: 560);
                var waits = await potter.Post(path + "/bookings", new { pieces = new[] { new { pieceId = wide } }, mayWait = true });
                bookings.Add($"{path}/bookings/{TestStudio.IdOf(waits)}");
            }
        }

        var approved = bookings[0].Split('/')[^1];
        await Plant($"update firing set state = 'Loaded' where id = '{Last(loaded)}'; update firing set state = 'Cancelled' where id = '{Last(off)}'; update "
            + $"firing_load set accepting = false");
        await Plant($"update booking set technician_reason = 'seen before' where id = '{approved}'");
        await Plant($"insert into audit (studio_id, id, at, member_id, action, subject) values ('{studio.Id}', gen_random_uuid(), '2026-10-01T10:00:00Z', "
            + $"'{studio.OwnerId}', 'bookings.approve', '{approved}')");
        var offences = await Invariants.Offences(service.Links);
        // One who waits for the loaded firing, and one for the cancelled one; the other two have their places.
        Assert.Equal(2, offences.Count(o => o.StartsWith("waiting-in-closed-firing", StringComparison.Ordinal)));
        Assert.Single(offences, o => o.StartsWith("booked-in-cancelled-firing", StringComparison.Ordinal));

        await VersionHistory.Run(service.Links.Owner, SqlFile.Read("booking-ends"));

        Assert.Empty(await Invariants.Offences(service.Links));
        var approval = (await studio.Viewer.Get(bookings[0])).Expect(HttpStatusCode.OK).Body.GetProperty("approval");
        Assert.Equal("Alma", approval.GetProperty("name").GetString());
        Assert.Equal(DateTimeOffset.Parse("2026-10-01T10:00:00Z", System.Globalization.CultureInfo.InvariantCulture), approval.GetProperty("at")
            .GetDateTimeOffset());
        foreach (var (booking, state, why) in new[] { (bookings[0], "confirmed", null), (bookings[1], "withdrawn", "was loaded without it"),
            (bookings[2], "withdrawn", "was called off"), (bookings[3], "withdrawn", "was called off") })
        {
            var now = (await studio.Viewer.Get(booking)).Expect(HttpStatusCode.OK).Body;
            Assert.Equal(state, now.GetProperty("state").GetString());
            if (why is not null) Assert.Contains(why, now.GetProperty("letGo").GetProperty("reason").GetString(), StringComparison.Ordinal);
        }

        service.IsFaulted = true;
        await Plant("delete from outbox where kind = 'bookings.let-go'");
        Assert.Equal(3, (await Invariants.Offences(service.Links)).Count(o => o.StartsWith("let-go-untold", StringComparison.Ordinal)));
        // The wall stands again: the owner without a studio sees nothing.
        await VersionHistory.Run(service.Links.Owner, "do $$ begin if exists (select from booking) then raise exception 'the wall is open'; end if; end $$");
    }

    private static string Last(string path) => path.Split('/')[^1];

    private Task Plant(string sql) => VersionHistory.Run(service.Links.Admin, sql);
}
