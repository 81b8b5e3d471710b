using System.Net;
using System.Text.RegularExpressions;
using KilnShare.Api.Tests.Common;
using KilnShare.Api.Tests.Document;
using KilnShare.Storage.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Storage;

/// <summary>The queries over people, ware, kilns and meters find nothing in an honest studio, and see each fault that is planted.</summary>
public sealed class WayInvariantTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Dead_ends_and_ware_in_two_places_are_seen()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        var (here, elsewhere) = (await studio.MakeFiring(kiln, 6_000), await studio.MakeFiring(kiln, 6_001));
        var piece = await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze());
        var booking = TestStudio.IdOf(await studio.Potter.Post($"{studio.Path}/firings/{here}/bookings", new { pieces = new[] { new { pieceId = piece } } }));
        await Read(studio, here, "2026-01-10T08:00:00Z", 99_990m);
        await Read(studio, here, "2026-01-10T09:00:00Z", 12m, new { @event = "rollover", rollsOverAtKwh = 100_000 });
        await Read(studio, here, "2026-01-10T10:00:00Z", 20m, new { @event = "exchange", newRegisterKwh = 3 });
        await Read(studio, here, "2026-01-10T11:00:00Z", 5m);
        await Read(studio, elsewhere, "2026-01-12T08:00:00Z", 1m); // a register of another firing is another series
        Assert.Empty(await Invariants.Offences(service.Links));

        await Seen("studio-without-owner", $"update member set archived_at = now() where role = 'Owner' and studio_id = '{studio.Id}'");
        await Seen("waiting-in-closed-firing",
            $"update booking set state = 'Waiting', waits_for = 'Room'; update booked_copy set state = 'Waiting', shelf_no = null; update firing set state = "
                + $"'Loaded' where id = '{here}'");
        await Seen("waiting-in-closed-firing",
            $"update booking set state = 'Waiting', waits_for = 'Room'; update booked_copy set state = 'Waiting', shelf_no = null; update firing set state = "
                + $"'Cancelled' where id = '{here}'");
        await Seen("booked-in-cancelled-firing", $"update firing set state = 'Cancelled' where id = '{here}'");
        await Seen("archived-piece-booked", $"update piece set archived_at = now() where id = '{piece}'");
        await Seen("archived-kiln-booked", $"update kiln set archived_at = now() where id = '{kiln}'");
        await Seen("register-fell", $"update meter_reading set register_kwh = 2 where read_at = '2026-01-10T11:00:00Z' and firing_id = '{here}'");
        await Seen("register-fell", "update meter_reading set is_shared = true");
        await Seen("kiln-time-sold-twice",
            $"alter table firing drop constraint ex_firing_kiln_time; update firing set starts_at = (select starts_at from firing where id = '{here}') where "
                + $"id = '{elsewhere}'");
        await Seen("copy-in-two-kilns", $"{Inside(here)}; {Inside(elsewhere)}; update firing set state = 'Heating' where studio_id = '{studio.Id}'");
        await Seen("copy-in-kiln-booked-elsewhere", $"{Inside(elsewhere)}; update firing set state = 'Heating' where id = '{elsewhere}'");
        Assert.Empty(await Invariants.Offences(service.Links));

        string Inside(Guid firing) =>
            $"insert into load_item (studio_id, firing_id, piece_id, copy, fate, frozen) select studio_id, '{firing}', piece_id, copy, 'Placed', frozen from "
                + $"booked_copy where booking_id = '{booking}'";
    }

    [Fact]
    public void Every_rule_is_shown_a_planted_fault()
    {
        var rules = Invariants.Files.SelectMany(f => Regex.Matches(
            SqlFile.Read(f), "^select (?:distinct )?'(?<rule>[a-z-]+)'", RegexOptions.Multiline | RegexOptions.ExplicitCapture, TimeSpan.FromSeconds(1))
            .Select(m => m.Groups["rule"].Value)).Distinct(StringComparer.Ordinal).ToList();
        Assert.True(rules.Count >= 30, $"Only {rules.Count} rules are found.");
        var tests = string.Concat(
            Directory.GetFiles(Path.Combine(CommittedFile.Root, "tests/KilnShare.Api.Tests"), "*.cs", SearchOption.AllDirectories).Select(File.ReadAllText));
        Assert.All(rules, r => Assert.Contains($"\"{r}\"", tests, StringComparison.Ordinal));
    }

    private static async Task Read(TestStudio studio, Guid firing, string readAt, decimal registerKwh, object? happened = null)
    {
        var body = System.Text.Json.JsonSerializer.SerializeToNode(happened ?? new { })!.AsObject();
        (body["readAt"], body["registerKwh"]) = (readAt, registerKwh);
        (await studio.Technician.Post($"{studio.Path}/firings/{firing}/meter-readings", body.ToJsonString())).Expect(HttpStatusCode.Created);
    }

    /// <summary>Plants a fault past every wall, sees it by its rule, and takes it back.</summary>
    private async Task Seen(string rule, string sql)
    {
        await using var admin = new NpgsqlConnection(service.Links.Admin + ";Pooling=false");
        await admin.OpenAsync(TestContext.Current.CancellationToken);
        await using var planting = await admin.BeginTransactionAsync(TestContext.Current.CancellationToken);
        await using (var plant = new NpgsqlCommand("set local session_replication_role = replica; " + sql, admin))
            Assert.True(await plant.ExecuteNonQueryAsync(TestContext.Current.CancellationToken) > 0, "nothing was planted: " + sql);
        Assert.Contains(rule, (await Invariants.Offences(admin)).Select(o => o.Split(':')[0]), StringComparer.Ordinal);
        await planting.RollbackAsync(TestContext.Current.CancellationToken);
    }
}
