using KilnShare.Api.Tests.Bookings;
using KilnShare.Api.Tests.Common;
using KilnShare.Storage;
using KilnShare.Storage.Setup;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Infrastructure;
using Microsoft.EntityFrameworkCore.Migrations;
using Npgsql;

namespace KilnShare.Api.Tests.Storage;

/// <summary>A database of the first release is brought to now with its rows.</summary>
public sealed class GroundMigrationTests(TestDatabase database)
{
    private const string Studio = "11111111-0000-7000-8000-000000000001";
    private const string Kiln = "11111111-0000-7000-8000-000000000002";
    private const string Piece = "11111111-0000-7000-8000-000000000003";

    /// <summary>Two firings with a plan, one of them on a shelf that the kiln has no more; kiln and piece were put away though they are in use.</summary>
    private const string Rows = $$$"""
        insert into studio (studio_id, name, time_zone, currency, per_kwh, allows_overtaking, created_at, version) values ('{{{Studio}}}', 'Old studio', 'UTC', 'EUR', 0.3, false, now(), 1);
        insert into member (studio_id, id, name, role, created_at, version) values ('{{{Studio}}}', '{{{Studio}}}', 'Alma', 'Owner', now(), 1);
        insert into kiln (studio_id, id, making, furniture, created_at, archived_at, version) values ('{{{Studio}}}', '{{{Kiln}}}', '{"name":"Old kiln"}', '{"shelves":[{"id":"full","count":4}]}', now(), now(), 7);
        insert into firing (studio_id, id, kiln_id, aim, state, starts_at, hours_basis, firing_hours, cooling_hours, ends_at, created_at, version)
          select '{{{Studio}}}', ('11111111-0000-7000-8000-00000000001' || n)::uuid, '{{{Kiln}}}', '{}', 'Accepting', now() + n * interval '9 days', 'Given', 1, 1, now() + n * interval '9 days' + interval '1 day', now(), 1 from generate_series(1, 2) n;
        insert into plan_shelf (studio_id, firing_id, shelf_no, shelf_id, x, y, rotation_thousandths, top, clear_above, area_use)
          select '{{{Studio}}}', ('11111111-0000-7000-8000-00000000001' || n)::uuid, 0, case n when 1 then 'full' else 'gone' end, 0, 0, 0, 1, 1, 0 from generate_series(1, 2) n;
        insert into piece (studio_id, id, member_id, making, quantity, created_at, archived_at, version) values ('{{{Studio}}}', '{{{Piece}}}', '{{{Studio}}}', '{}', 1, now(), now(), 1);
        insert into piece_copy (studio_id, piece_id, copy, stage, step, layers_fired_at) values ('{{{Studio}}}', '{{{Piece}}}', 0, 'Bisque', 0, '[]');
        insert into booking (studio_id, id, firing_id, member_id, state, waits_for, accepts, stayed_behind, created_at, version) values ('{{{Studio}}}', '{{{Piece}}}', '11111111-0000-7000-8000-000000000011', '{{{Studio}}}', 'Waiting', 'Room', '{}', false, now(), 1);
        insert into booked_copy (studio_id, piece_id, copy, booking_id, firing_id, step, frozen, is_room, state) values ('{{{Studio}}}', '{{{Piece}}}', 0, '{{{Piece}}}', '11111111-0000-7000-8000-000000000011', 0, '{"ware":{}}', false, 'Waiting');
        """;

    [Fact]
    public async Task Plans_of_the_first_release_get_what_they_stand_on_and_what_is_in_use_is_there_again()
    {
        var name = $"kilnshare_first_{Environment.ProcessId}";
        await DatabaseSetup.CreateDatabase(database.Admin, name, TestContext.Current.CancellationToken);
        var links = new DatabaseLinks(new NpgsqlConnectionStringBuilder(database.Admin) { Database = name }.ConnectionString, null);
        await VersionHistory.Run(
            links.Admin, $"grant {DatabaseLinks.OwnerRole} to current_user; grant create, usage on schema public to {DatabaseLinks.OwnerRole}; grant create, "
                + $"connect on database {name} to {DatabaseLinks.OwnerRole}");
        await using (var source = KilnShareDb.Connect(links.Owner))
        {
            var options = new DbContextOptionsBuilder<KilnShareDb>();
            KilnShareDb.Configure(options, source);
            await using var db = new KilnShareDb(options.Options);
            await db.GetService<IMigrator>().MigrateAsync("Walls", TestContext.Current.CancellationToken);
        }

        await VersionHistory.Run(links.Admin, Rows);
        await DatabaseSetup.Migrate(links, TestContext.Current.CancellationToken);
        Assert.Equal(2, await Asking.Number(links.Admin,
            $"select count(*) from plan_ground where making ->> 'name' = 'Old kiln' and furniture #>> '{{shelves,0,id}}' = 'full' and kiln_version = 7"));
        Assert.Equal(1, await Asking.Number(
            links.Admin, "select count(*) from plan_ground where marked_at is not null and firing_id = '11111111-0000-7000-8000-000000000012'"));
        Assert.Equal(0, await Asking.Number(
            links.Admin, "select (select count(*) from kiln where archived_at is not null) + (select count(*) from piece where archived_at is not null)"));
        Assert.Equal(0, await Asking.Number(
            links.Admin, "select count(*) from pg_class where relnamespace = 'public'::regnamespace and relrowsecurity and not relforcerowsecurity"));
        Assert.DoesNotContain(await Invariants.Offences(links), o => o.StartsWith("plan-", StringComparison.Ordinal));
    }
}
