using KilnShare.Api.Tests.Bookings;
using KilnShare.Api.Tests.Common;
using KilnShare.Storage;
using KilnShare.Storage.Setup;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Infrastructure;
using Microsoft.EntityFrameworkCore.Migrations;
using Npgsql;

namespace KilnShare.Api.Tests.Storage;

/// <summary>Rows of the first release are mended where ware was in a kiln without a live booking.</summary>
public sealed class FiringFactsTests(TestDatabase database)
{
    private const string Studio = "'00000000-0000-0000-0000-00000000000a'";
    private const string Member = "'00000000-0000-0000-0000-00000000000b'";
    private const string Kiln = "'00000000-0000-0000-0000-00000000000c'";
    private const string Piece = "'00000000-0000-0000-0000-00000000000d'";
    private const string Hot = "'00000000-0000-0000-0000-000000000001'";
    private const string Open = "'00000000-0000-0000-0000-000000000002'";
    private const string Elsewhere = "'00000000-0000-0000-0000-000000000003'";

    private static readonly string Rows = $$"""
        insert into studio (studio_id, name, time_zone, currency, per_kwh, allows_overtaking, created_at, version) values ({{Studio}}, 'Old', 'Europe/Berlin', 'EUR', 0.3, false, now(), 1);
        insert into member (studio_id, id, name, role, created_at, version) values ({{Studio}}, {{Member}}, 'Mira', 'Owner', now(), 1);
        insert into kiln (studio_id, id, making, furniture, created_at, version) values ({{Studio}}, {{Kiln}}, '{}', '{}', now(), 1);
        insert into piece (studio_id, id, member_id, making, quantity, created_at, version) values ({{Studio}}, {{Piece}}, {{Member}}, '{}', 2, now(), 1);
        insert into piece_copy (studio_id, piece_id, copy, stage, step, layers_fired_at) values ({{Studio}}, {{Piece}}, 0, 'Bisque', 1, '[]'), ({{Studio}}, {{Piece}}, 1, 'Bisque', 1, '[]');
        insert into firing (studio_id, id, kiln_id, aim, state, hours_basis, starts_at, firing_hours, cooling_hours, ends_at, created_at, version) values
          ({{Studio}}, {{Hot}}, {{Kiln}}, '{}', 'Heating', 'Entered', '2026-01-01', 10, 10, '2026-01-02', now(), 1),
          ({{Studio}}, {{Open}}, {{Kiln}}, '{}', 'Accepting', 'Entered', '2026-01-05', 10, 10, '2026-01-06', now(), 1);
        insert into firing_load (studio_id, firing_id, load_version, accepting, booked_mass_g) values ({{Studio}}, {{Hot}}, 4, false, 0), ({{Studio}}, {{Open}}, 7, true, 400);
        insert into load_item (studio_id, firing_id, piece_id, copy, fate, frozen) values ({{Studio}}, {{Hot}}, {{Piece}}, 0, 'Placed', '{"ware": {} }'), ({{Studio}}, {{Hot}}, {{Piece}}, 1, 'Placed', '{"ware": {} }');
        insert into booking (studio_id, id, firing_id, member_id, state, accepts, stayed_behind, created_at, version) values ({{Studio}}, {{Elsewhere}}, {{Open}}, {{Member}}, 'Confirmed', '{}', false, now(), 1);
        insert into plan_shelf (studio_id, firing_id, shelf_no, shelf_id, x, y, rotation_thousandths, top, clear_above, area_use) values ({{Studio}}, {{Open}}, 0, 'full', 0, 0, 0, 0, 0, 0);
        insert into booked_copy (studio_id, piece_id, copy, booking_id, firing_id, step, frozen, is_room, state, shelf_no, x, y, rotation_thousandths, stack_level, open_above, core_x, core_y, core_radius)
          values ({{Studio}}, {{Piece}}, 0, {{Elsewhere}}, {{Open}}, 1, '{"ware":{},"massG":400}', false, 'Confirmed', 0, 0, 0, 0, 0, false, 0, 0, 1);
        """;

    [Fact]
    public async Task What_is_in_a_kiln_is_live_there_and_let_go_elsewhere()
    {
        var links = await FirstRelease();
        await VersionHistory.Run(links.Admin, Rows);
        await DatabaseSetup.Migrate(links, TestContext.Current.CancellationToken);
        Assert.Equal(["0 Loaded 1", "1 Loaded 1"], await Ask(
            links, $"select copy || ' ' || state || ' ' || step from booked_copy where firing_id = {Hot} order by 1"));
        Assert.Equal(["Withdrawn 2"], await Ask(links, $"select state || ' ' || version from booking where id = {Elsewhere}"));
        Assert.Equal(["8 0"], await Ask(links, $"select load_version || ' ' || booked_mass_g from firing_load where firing_id = {Open}"));
        Assert.Equal(["bookings.let-go"], await Ask(links, "select kind from outbox"));
        Assert.Empty(await Invariants.Offences(links));
        var refused = await Assert.ThrowsAsync<PostgresException>(
            () => VersionHistory.Run(links.Admin, $"update booked_copy set state = 'Withdrawn' where firing_id = {Hot}"));
        Assert.Equal("ck_load_item_live", refused.ConstraintName);
        Assert.Equal(["true"], await Ask(
            links, "select bool_and(relforcerowsecurity)::text from pg_class where relname in ('firing', 'load_item', 'booked_copy', 'booking', "
                + "'firing_load', 'piece_copy', 'piece', 'audit', 'outbox')"));
    }

    private async Task<DatabaseLinks> FirstRelease()
    {
        var made = await database.Clone();
        var name = new NpgsqlConnectionStringBuilder(made.Admin).Database!;
        await VersionHistory.Run(database.Admin, $"drop database {name} with (force)");
        await DatabaseSetup.CreateDatabase(database.Admin, name, TestContext.Current.CancellationToken);
        await VersionHistory.Run(made.Admin, $"grant create, usage on schema public to {DatabaseLinks.OwnerRole}");
        await using var source = KilnShareDb.Connect(made.Owner);
        var options = new DbContextOptionsBuilder<KilnShareDb>();
        KilnShareDb.Configure(options, source);
        await using var db = new KilnShareDb(options.Options);
        await db.GetService<IMigrator>().MigrateAsync("20261125194608_Walls", TestContext.Current.CancellationToken);
        return made;
    }

    private static async Task<List<string>> Ask(DatabaseLinks links, string sql)
    {
        await using var source = NpgsqlDataSource.Create(links.Admin + ";Pooling=false");
        await using var command = source.CreateCommand(sql);
        await using var reader = await command.ExecuteReaderAsync(TestContext.Current.CancellationToken);
        var lines = new List<string>();
        while (await reader.ReadAsync(TestContext.Current.CancellationToken)) lines.Add(reader.GetString(0));
        return lines;
    }
}
