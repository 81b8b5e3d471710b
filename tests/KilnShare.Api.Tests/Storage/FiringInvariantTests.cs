using System.Net;
using KilnShare.Api.Tests.Bookings;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Storage;

/// <summary>The invariants of ware in kilns see each fault that is planted.</summary>
public sealed class FiringInvariantTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task An_honest_studio_has_no_offences_and_planted_ones_are_seen()
    {
        var studio = await service.MakeStudio();
        var (clay, glaze) = (await studio.MakeClay(), await studio.MakeGlaze());
        for (var turn = 0; turn < 2; turn++)
        {
            var path = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln(), turn)}";
            (await studio.Technician.Put(path + "/state", new { state = "fixed" })).Expect(HttpStatusCode.OK);
            (await studio.Technician.Put(path + "/load", new { placed = new[] { new { pieceId = await studio.MakePiece(studio.Potter, clay, glaze) } } }))
                .Expect(HttpStatusCode.OK);
        }

        Assert.Empty(await Invariants.Offences(service.Links));
        service.IsFaulted = true;
        await VersionHistory.Run(
            service.Links.Admin, "alter table load_item disable trigger ck_load_item_live; alter table booked_copy disable trigger ck_booked_copy_in_kiln");
        foreach (var (fault, expected) in Faults)
        {
            await VersionHistory.Run(service.Links.Admin, fault);
            Assert.Contains(await Invariants.Offences(service.Links), offence => offence.StartsWith(expected + ":", StringComparison.Ordinal));
        }
    }

    private static IEnumerable<(string Sql, string Offence)> Faults =>
    [
        ("update firing set lit_answered_by = 'Tilo'", "answered-for-nothing"),
        ("insert into load_item (studio_id, firing_id, piece_id, copy, fate, frozen) select i.studio_id, f.id, i.piece_id, i.copy, i.fate, i.frozen from "
            + "load_item i join firing f on f.id <> i.firing_id where i.firing_id = (select min(firing_id::text)::uuid from load_item)", "in-two-kilns"),
        ("update booked_copy set state = 'Withdrawn' where piece_id = (select min(piece_id::text)::uuid from booked_copy)", "in-kiln-not-live"),
        ("update firing set state = 'Unloaded'", "undone-step-kept"),
    ];
}
