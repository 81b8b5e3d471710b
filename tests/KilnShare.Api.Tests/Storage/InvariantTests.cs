using KilnShare.Api.Tests.Bookings;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Storage;

/// <summary>The invariant queries find nothing in an honest studio, and see each fault that is planted.</summary>
public sealed class InvariantTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task An_honest_studio_has_no_offences_and_planted_ones_are_seen()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var firing = await studio.MakeFiring(kiln, 6_000);
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        foreach (var _ in Enumerable.Range(0, 2))
        {
            var piece = await studio.MakePiece(studio.Potter, clay, glaze);
            await studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece } } });
        }

        (await studio.Potter.Post($"{studio.Path}/firings/{firing}/reserves",
            new { room = new[] { new { footprint = TestStudio.Circle(60), heightMm = 60 } } })).Expect(System.Net.HttpStatusCode.Created);
        Assert.Empty(await Offences(service));
        service.IsFaulted = true;
        foreach (var (fault, expected) in Faults)
        {
            await VersionHistory.Run(service.Links.Admin, fault);
            Assert.Contains(expected, await Offences(service), StringComparer.Ordinal);
        }
    }

    private static IEnumerable<(string Sql, string Offence)> Faults =>
    [
        ("update firing_load set booked_mass_g = booked_mass_g + 1", "mass-counted-wrong"),
        ("update firing_load set accepting = false", "accepting-differs"),
        ("update booking set reserved_until = now() - interval '16 minutes' where reserved_until is not null", "room-kept-too-long"),
        ("update firing set state = 'Loaded'", "room-in-loaded-firing"),
        ("update booking set reserve_id = (select id from booking where reserved_until is not null), member_id = (select member_id from access_token where "
            + "member_id not in (select member_id from booking) limit 1) where id = (select id from booking where reserved_until is null limit 1)",
            "room-taken-over-by-stranger"),
        ("update booking set reserved_until = null, state = 'Confirmed' where reserved_until is not null", "room-and-reserve-differ"),
        ("update booking set state = 'Waiting', waits_for = 'Room' where id = (select id from booking limit 1)", "booking-and-copies-differ"),
        ("update piece set quantity = 2", "copies-miscounted"),
        ("update firing set state = 'Settled'", "settled-without-settlement"),
        ("alter table booked_copy drop constraint ex_booked_copy_place; update booked_copy w set shelf_no = c.shelf_no, core_x = c.core_x, core_y = c.core_y "
            + "from (select * from booked_copy limit 1) c where w.piece_id <> c.piece_id", "place-sold-twice"),
        ("delete from plan_shelf", "copy-without-shelf"),
        ("drop index ux_booked_copy_live; insert into booked_copy (studio_id, booking_id, piece_id, copy, firing_id, step, is_room, frozen, state, shelf_no, "
            + "x, y, rotation_thousandths, stack_level, open_above, core_x, core_y, core_radius) select studio_id, (select id from booking where id <> "
            + "b.booking_id limit 1), piece_id, copy, firing_id, step, is_room, frozen, state, shelf_no, x, y, rotation_thousandths, stack_level, "
            + "open_above, core_x, core_y, core_radius from booked_copy b limit 1", "copy-live-twice"),
        ("insert into audit (studio_id, id, at, action, subject) select studio_id, gen_random_uuid(), now(), 'bookings.promote', (select id::text from "
            + "booking limit 1) from studio, generate_series(1, 2)", "promoted-twice"),
        ("update access_token set hash = '\\x00' where id = (select id from access_token limit 1)", "token-hash-length"),
    ];

    /// <summary>The names of the invariants that are offended, over all studios, as the auditor sees them.</summary>
    public static async Task<IReadOnlyList<string>> Offences(Service service)
    {
        await using var audit = new NpgsqlConnection(service.Links.Audit + ";Pooling=false");
        await audit.OpenAsync(TestContext.Current.CancellationToken);
        await using (var count = new NpgsqlCommand("select count(*) from studio", audit))
            Assert.NotEqual(0L, await count.ExecuteScalarAsync(TestContext.Current.CancellationToken));
        return [.. (await Invariants.Offences(audit)).Select(o => o.Split(':')[0])];
    }
}
