using System.Reflection;
using KilnShare.Api.Tests.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using Npgsql;

namespace KilnShare.Api.Tests.Access;

/// <summary>The walls between studios inside the database, read from its own catalogue.</summary>
public sealed class WallTests(Service service, ITestOutputHelper output) : IClassFixture<Service>
{
    /// <summary>
    /// Tables without a studio: the history of migrations holds no one's data (the serving role sees it, to know whose tables these are, and changes
    /// nothing in it); the installation's token belongs to no studio, and two hashes are all that stands there.
    /// </summary>
    private static readonly string[] WithoutStudio = ["__EFMigrationsHistory", "installation_token"];

    /// <summary>
    /// Policies beside the wall of every table: closed months take no entry (restrictive), and the worker claims jobs and events over all studios.
    /// </summary>
    private static readonly string[] OtherPolicies =
        ["closing closed_alone public", "job worker_claims kilnshare_worker", "ledger_entry open_month public", "outbox worker_claims kilnshare_worker"];

    [Fact]
    public async Task The_serving_role_sees_no_row_without_a_studio_with_an_empty_one_or_with_anothers()
    {
        await World.Make(service);
        var world = await World.Make(service);
        var tables = await Read(
            service.Links.Admin,
            "select relname from pg_class where relkind in ('r','v','m','p') and relnamespace = 'public'::regnamespace and relname not in "
                + "('__EFMigrationsHistory', 'installation_token') order by 1");
        Assert.True(tables.Count >= 20, $"Only {tables.Count} tables.");
        await using var app = new NpgsqlConnection(service.Links.App + ";Pooling=false");
        await app.OpenAsync(TestContext.Current.CancellationToken);
        var visible = 0;
        foreach (var table in tables)
        {
            foreach (var studio in new[] { null, "", Guid.Empty.ToString() })
            {
                if (studio is not null) await Run(app, $"select set_config('kilnshare.studio', '{studio}', false)");
                Assert.True(await Count(app, table) == 0, $"{table} shows rows with the studio \"{studio ?? "none"}\".");
            }

            await Run(app, $"select set_config('kilnshare.studio', '{world.Studio.Id}', false)");
            visible += (int)await Count(app, table);
            Assert.True(await Count(app, $"{table} where studio_id <> '{world.Studio.Id}'", quoted: false) == 0, $"{table} shows another studio's rows.");
            await Run(app, "reset kilnshare.studio");
        }

        Assert.True(visible > 20, "The check saw nothing at all, so it proves nothing.");
        output.WriteLine($"{tables.Count} tables, {visible} rows of its own seen");
    }

    /// <summary>Asked as a superuser, for whom there is no row-level security: what is left is the filter of every question.</summary>
    [Fact]
    public async Task With_the_walls_of_the_database_down_every_question_still_goes_to_one_studio()
    {
        var (own, _) = (await World.Make(service), await World.Make(service));
        await using var source = KilnShareDb.Connect(service.Links.Admin + ";Pooling=false");
        var options = new DbContextOptionsBuilder<KilnShareDb>();
        KilnShareDb.Configure(options, source);
        await using var db = new KilnShareDb(options.Options);
        var (studio, seen, hidden) = (new Id<Studio>(own.Studio.Id), 0, 0);
        var studiosOf = typeof(WallTests).GetMethod(nameof(StudiosOf), BindingFlags.NonPublic | BindingFlags.Static)!;
        foreach (var type in db.Model.GetEntityTypes().Where(t => t.FindProperty("StudioId") is not null))
        {
            async Task<List<Id<Studio>>> Ask(bool filtered) =>
                await (Task<List<Id<Studio>>>)studiosOf.MakeGenericMethod(type.ClrType).Invoke(null, [db, filtered])!;
            db.Studio = studio;
            var rows = await Ask(true);
            Assert.True(rows.TrueForAll(r => r == studio), $"{type.ClrType.Name} shows another studio's rows.");
            seen += rows.Count;
            hidden += (await Ask(false)).Count(r => r != studio);
            db.Studio = null;
            Assert.True((await Ask(true)).Count == 0, $"{type.ClrType.Name} shows rows where no studio is known.");
        }

        Assert.True(seen > 20 && hidden > 20, $"{seen} tables with rows of its own and {hidden} of others: that proves nothing.");
    }

    [Fact]
    public async Task Another_studios_row_cannot_be_written()
    {
        var (own, other) = (await World.Make(service), await World.Make(service));
        await using var app = new NpgsqlConnection(service.Links.App + ";Pooling=false");
        await app.OpenAsync(TestContext.Current.CancellationToken);
        await Run(app, $"select set_config('kilnshare.studio', '{own.Studio.Id}', false)");
        await using var update = new NpgsqlCommand($"update member set name = 'x' where studio_id = '{other.Studio.Id}'", app);
        Assert.Equal(0, await update.ExecuteNonQueryAsync(TestContext.Current.CancellationToken));
        var refused = await Assert.ThrowsAsync<PostgresException>(
            () => Run(app, $"insert into audit (studio_id, id, at, action, subject) values ('{other.Studio.Id}', gen_random_uuid(), now(), 'x', 'y')"));
        Assert.Equal("42501", refused.SqlState);
        refused = await Assert.ThrowsAsync<PostgresException>(() => Run(app, "delete from ledger_entry"));
        Assert.Equal("42501", refused.SqlState);
    }

    [Fact]
    public async Task Row_security_is_on_and_forced_on_every_table_with_a_studio()
    {
        Assert.Empty(await Read(service.Links.Admin, """
            select c.relname from pg_class c join pg_attribute a on a.attrelid = c.oid and a.attname = 'studio_id' and not a.attisdropped
            where c.relkind in ('r','p') and c.relnamespace = 'public'::regnamespace and not (c.relrowsecurity and c.relforcerowsecurity)
            """));
        Assert.Equal<IEnumerable<string>>(WithoutStudio, await Read(service.Links.Admin, """
            select c.relname from pg_class c where c.relkind in ('r','p') and c.relnamespace = 'public'::regnamespace
              and not exists (select from pg_attribute a where a.attrelid = c.oid and a.attname = 'studio_id' and not a.attisdropped) order by 1
            """));
        Assert.Equal(["SELECT"], await Read(service.Links.Admin, """
            select privilege_type from information_schema.role_table_grants where grantee in ('kilnshare_app', 'kilnshare_worker', 'PUBLIC') and table_name = '__EFMigrationsHistory'
            """));
        Assert.Equal<IEnumerable<string>>(OtherPolicies, await Read(service.Links.Admin, """
            select tablename || ' ' || policyname || ' ' || array_to_string(roles, ',') from pg_policies
            where schemaname = 'public' and not (policyname = 'studio_wall' and qual = '(studio_id = current_studio())' and with_check = qual and permissive = 'PERMISSIVE') order by 1
            """));
        Assert.Empty(await Read(service.Links.Admin, """
            select rolname from pg_roles where rolname in ('kilnshare_app', 'kilnshare_worker') and (rolsuper or rolbypassrls or rolcreaterole or rolcreatedb)
            union all select relname from pg_class c where relnamespace = 'public'::regnamespace and pg_get_userbyid(relowner) in ('kilnshare_app', 'kilnshare_worker')
            """));
    }

    [Fact]
    public async Task Every_key_and_exclusion_begins_with_the_studio()
    {
        Assert.Empty(await Read(service.Links.Admin, """
            select c.relname || ' ' || k.conname from pg_constraint k join pg_class c on c.oid = k.conrelid
            where c.relnamespace = 'public'::regnamespace and c.relname not in ('__EFMigrationsHistory', 'installation_token') and k.contype in ('p','u','x','f')
              and (select attname from pg_attribute where attrelid = k.conrelid and attnum = k.conkey[1]) <> 'studio_id'
            union all
            select i.indrelid::regclass || ' ' || i.indexrelid::regclass from pg_index i join pg_class c on c.oid = i.indrelid
            where c.relnamespace = 'public'::regnamespace and c.relname not in ('__EFMigrationsHistory', 'installation_token') and i.indisunique
              and coalesce((select attname from pg_attribute where attrelid = i.indrelid and attnum = i.indkey[0]), '') <> 'studio_id'
            union all
            select c.relname || ' ' || k.conname || ' (referenced key)' from pg_constraint k join pg_class c on c.oid = k.confrelid
            where k.contype = 'f' and (select attname from pg_attribute where attrelid = k.confrelid and attnum = k.confkey[1]) <> 'studio_id'
            union all
            select k.conrelid::regclass || ' ' || k.conname || ' (set null)' from pg_constraint k where k.contype = 'f' and k.confdeltype = 'n'
            """));
    }

    [Fact]
    public async Task No_view_or_function_runs_with_anothers_rights() => Assert.Empty(await Read(service.Links.Admin, """
        select relname from pg_class where relkind in ('v','m') and relnamespace = 'public'::regnamespace
          and not (relkind = 'v' and coalesce(reloptions, '{}') && array['security_invoker=true', 'security_invoker=on'])
        union all select proname from pg_proc where pronamespace = 'public'::regnamespace and prosecdef
        """));

    private static Task<List<Id<Studio>>> StudiosOf<T>(KilnShareDb db, bool filtered)
        where T : class
    {
        var rows = filtered ? db.Set<T>() : db.Set<T>().IgnoreQueryFilters();
        return rows.Select(row => EF.Property<Id<Studio>>(row, "StudioId")).Distinct().ToListAsync(TestContext.Current.CancellationToken);
    }

    private static async Task<long> Count(NpgsqlConnection connection, string table, bool quoted = true)
    {
        await using var command = new NpgsqlCommand(quoted ? $"select count(*) from \"{table}\"" : $"select count(*) from {table}", connection);
        return (long)(await command.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
    }

    private static async Task Run(NpgsqlConnection connection, string sql)
    {
        await using var command = new NpgsqlCommand(sql, connection);
        await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
    }

    private static async Task<List<string>> Read(string link, string sql)
    {
        await using var connection = new NpgsqlConnection(link + ";Pooling=false");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        await using var command = new NpgsqlCommand(sql, connection);
        await using var reader = await command.ExecuteReaderAsync(TestContext.Current.CancellationToken);
        var rows = new List<string>();
        while (await reader.ReadAsync(TestContext.Current.CancellationToken)) rows.Add(reader.GetString(0));
        return rows;
    }
}
