using System.Net;
using KilnShare.Api.Tests.Common;
using KilnShare.Core.Costs;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;

namespace KilnShare.Api.Tests.Costs;

/// <summary>Broken variants of the service that lose one cent: the checks that are run everywhere else must see each of them.</summary>
public sealed class LostCentTests(TestDatabase database)
{
    [Fact]
    public async Task An_honest_settlement_passes_the_checks() => Assert.Empty(await Complaints(null));

    [Fact]
    public async Task A_cent_that_is_lost_on_the_way_into_the_books_is_seen() =>
        Assert.Equal(["balances", "settlement-differs-from-books", "settlement-entries-differ"], await Complaints(new LosesCent(LoseInBooks)));

    [Fact]
    public async Task A_cent_that_is_lost_in_the_split_is_seen() =>
        Assert.Equal(["settlement-entries-differ", "settlement-shares-differ"], await Complaints(new LosesCent(LoseInSplit)));

    /// <summary>Settles a firing through a service and names the checks that complain of it.</summary>
    private async Task<IReadOnlyList<string>> Complaints(IInterceptor? fault)
    {
        await using var service = new Service(database) { IsFaulted = fault is not null };
        await service.InitializeAsync();
        var studio = await CostStudio.Make(service);
        var firing = await studio.Unloaded();
        await using var broken = fault is null ? null : PlantedBugs.In(service, fault);
        var technician = broken is null ? studio.Studio.Technician : new Caller(broken.CreateClient(), studio.Studio.TechnicianToken);
        (await technician.Post($"{studio.Path}/firings/{firing}/settlement")).Expect(HttpStatusCode.Created);
        var complaints = (await InvariantTests.Broken(service)).ToHashSet(StringComparer.Ordinal);
        if (await studio.Balance(studio.Studio.PotterId) + await studio.Balance(studio.OtherPotterId) != 1978 + 450) complaints.Add("balances");
        return [.. complaints.Order(StringComparer.Ordinal)];
    }

    private static void LoseInBooks(DbContext db)
    {
        var entry = db.ChangeTracker.Entries<LedgerEntry>().Where(e => e.State == EntityState.Added).MaxBy(e => e.Entity.AmountMinor);
        if (entry is not null) entry.Property(e => e.AmountMinor).CurrentValue--;
    }

    private static void LoseInSplit(DbContext db)
    {
        if (db.ChangeTracker.Entries<FiringSettlement>().FirstOrDefault(e => e.State == EntityState.Added) is not { } entry) return;
        var split = entry.Entity.Split;
        entry.Property(s => s.Split).CurrentValue = split with { Shares = [LessACent(split.Shares[0]), .. split.Shares.Skip(1)] };
    }

    private static Share LessACent(Share share) => share with
    {
        AmountMinor = share.AmountMinor - 1,
        Parts = [share.Parts[0] with { AmountMinor = share.Parts[0].AmountMinor - 1 }, .. share.Parts.Skip(1)],
    };

    private sealed class LosesCent(Action<DbContext> lose) : SaveChangesInterceptor
    {
        public override ValueTask<InterceptionResult<int>> SavingChangesAsync(
            DbContextEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default)
        {
            lose(eventData.Context!);
            return new ValueTask<InterceptionResult<int>>(result);
        }
    }
}
