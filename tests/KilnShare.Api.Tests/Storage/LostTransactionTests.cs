using KilnShare.Api.Common;
using KilnShare.Api.Tests.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Npgsql;

namespace KilnShare.Api.Tests.Storage;

/// <summary>A connection that is lost within a transaction takes the whole unit of work with it.</summary>
public sealed class LostTransactionTests(TestDatabase database)
{
    [Fact]
    public async Task Nothing_is_done_outside_a_transaction_that_was_lost_even_where_the_first_failure_was_swallowed()
    {
        await using var service = await Start();
        var studio = await service.MakeStudio();
        await using var scope = service.Services.CreateAsyncScope();
        var db = Of(studio, scope);
        await using (await db.Database.BeginTransactionAsync(TestContext.Current.CancellationToken))
        {
            await Rename(db, studio, "within");
            await End(service, db);
            await Assert.ThrowsAnyAsync<Exception>(() => Rename(db, studio, "while it is lost"));
            var lost = await Assert.ThrowsAnyAsync<Exception>(() => Rename(db, studio, "outside"));
            Assert.True(Postgres.IsAway(lost), lost.ToString());
        }

        Assert.Equal(0, await Named(service, studio, "within") + await Named(service, studio, "outside"));
    }

    [Fact]
    public async Task Who_rolls_back_or_commits_goes_on_as_before()
    {
        await using var service = await Start();
        var studio = await service.MakeStudio();
        await using var scope = service.Services.CreateAsyncScope();
        var db = Of(studio, scope);
        foreach (var (name, isKept) in new[] { ("given up", false), ("kept", true) })
        {
            await using (var writing = await db.Database.BeginTransactionAsync(TestContext.Current.CancellationToken))
            {
                await Rename(db, studio, name);
                if (isKept) await writing.CommitAsync(TestContext.Current.CancellationToken);
            }

            Assert.Equal(isKept ? 1 : 0, await Named(service, studio, name));
            await Rename(db, studio, "by itself");
            Assert.Equal(1, await Named(service, studio, "by itself"));
        }
    }

    private async Task<Service> Start()
    {
        var service = new Service(database);
        await service.InitializeAsync();
        return service;
    }

    private static KilnShareDb Of(TestStudio studio, AsyncServiceScope scope)
    {
        var db = scope.ServiceProvider.GetRequiredService<KilnShareDb>();
        db.Studio = new Id<Studio>(studio.Id);
        return db;
    }

    private static Task Rename(KilnShareDb db, TestStudio studio, string name) =>
        db.Database.ExecuteSqlAsync($"update studio set name = {name} where studio_id = {studio.Id}", TestContext.Current.CancellationToken);

    private static Task<long> Named(Service service, TestStudio studio, string name) =>
        Asking.Number(service.Links.Admin, $"select count(*) from studio where studio_id = '{studio.Id}' and name = '{name}'");

    private static async Task End(Service service, KilnShareDb db)
    {
        var process = (await db.Database.SqlQuery<int>($"select pg_backend_pid() as \"Value\"").ToListAsync(TestContext.Current.CancellationToken))[0];
        await using var admin = new NpgsqlConnection(service.Links.Admin);
        await admin.OpenAsync(TestContext.Current.CancellationToken);
        await using var end = new NpgsqlCommand("select pg_terminate_backend($1)", admin) { Parameters = { new() { Value = process } } };
        await end.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
    }
}
