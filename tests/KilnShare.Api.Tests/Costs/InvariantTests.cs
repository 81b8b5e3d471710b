using System.Net;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Costs;

public sealed class InvariantTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task After_all_that_can_happen_the_books_hold_and_every_planted_fault_is_seen()
    {
        var studio = await CostStudio.Make(service);
        await studio.Rules(new
        {
            surcharges = new[] { new { name = "catcher", eachMinor = 150 }, new { name = "help", eachMinor = -9_000 } },
            discounts = new[] { new { memberId = studio.OtherPotterId, percent = 10 } },
            unusedSpace = "studio",
            minimumMinor = 20,
            withdrawal = new[] { new { hoursBefore = 2_000, percent = 0, flatMinor = 250 } },
        });
        var firing = await studio.Unloaded();
        object Use(string name) => new { memberId = studio.Studio.PotterId, name, count = 1 };
        (await studio.Studio.Technician.Put($"{studio.Path}/firings/{firing}/surcharges", new { surcharges = new[] { Use("catcher"), Use("help") } }))
            .Expect(HttpStatusCode.OK);
        (await studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/settlement")).Expect(HttpStatusCode.Created);
        (await studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/settlement/corrections", new { energyKwh = 71, reason = "misread" }))
            .Expect(HttpStatusCode.Created);
        var other = await studio.Settled();
        var payment = (await studio.Pay(studio.Studio.PotterId, "payment", 500)).GetProperty("id").GetGuid();
        var incident = TestStudio.IdOf(await studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/incidents", new
        {
            causedBy = studio.Studio.PotterId,
            losses = new object[] { new { memberId = studio.OtherPotterId, amountMinor = 800, what = "bowl" },
                new { memberId = studio.Studio.PotterId, amountMinor = 5, what = "mug" } },
            reason = "it burst",
        }));
        var booking = TestStudio.IdOf(await studio.Studio.Potter.Post($"{studio.Path}/firings/{await studio.Accepting()}/bookings",
            new { pieces = new[] { new { pieceId = await studio.Piece(studio.Studio.Potter) } } }));
        var open = (await studio.Studio.Technician.Get(studio.Path + "/firings")).Body.GetProperty("items").EnumerateArray().Last().GetProperty("id").GetGuid();
        Assert.Equal(250, (await studio.Studio.Potter.Post($"{studio.Path}/firings/{open}/bookings/{booking}/withdrawal"))
            .Expect(HttpStatusCode.OK).Body.GetProperty("feeMinor").GetInt64());
        Assert.Empty(await Broken(service));
        service.IsFaulted = true;

        var entry = $"insert into ledger_entry (studio_id, id, at, kind, debit, credit, amount_minor, currency, subject, part) values ('{studio.Studio.Id}', "
            + $"gen_random_uuid(), now(), 'Adjustment'";
        await Seen("ledger-account-missing", $"{entry}, 'Member:nobody', 'Cash', 5, 'EUR', '{payment}', 'x')");
        await Seen("ledger-not-balanced", $"{entry}, 'Member:nobody', 'Cash', 5, 'EUR', '{payment}', 'x')");
        await Seen("ledger-other-currency", $"{entry}, 'StudioShare', 'Cash', 5, 'JPY', '{payment}', 'x')");
        await Seen("ledger-empty-entry",
            $"alter table ledger_entry drop constraint ck_ledger_entry_amount; {entry}, 'StudioShare', 'Cash', 0, 'EUR', '{payment}', 'x')");
        await Seen("ledger-subject-missing", $"{entry}, 'StudioShare', 'Cash', 5, 'EUR', '{Guid.NewGuid()}', 'x')");
        await Seen("settlement-entries-differ",
            $"update ledger_entry set amount_minor = amount_minor + 1 where subject = '{firing}' and kind = 'Reversal' and part = 'energy'");
        await Seen("settlement-entries-differ",
            $"delete from ledger_entry where subject = '{other}' and part = 'wear' and debit = 'Member:{studio.OtherPotterId}'");
        await Seen("settlement-differs-from-books", $"update ledger_entry set amount_minor = amount_minor + 1 where subject = '{other}' and part = 'energy'");
        await Seen("vat-account-differs", $"{entry}, 'StudioShare', 'Firings', 7, 'EUR', '{other}', 'value-added-tax')");
        await Seen("settlement-shares-differ", $"update settlement set split = jsonb_set(split, '{{totalMinor}}', '1') where firing_id = '{other}'");
        await Seen("firing-settlement-missing", $"delete from settlement where firing_id = '{other}'");
        await Seen("settlement-firing-not-settled", $"update firing set state = 'Unloaded' where id = '{other}'");
        await Seen("settlement-revision-missing", $"delete from settlement where firing_id = '{firing}' and revision = 1");
        await Seen("payment-entry-differs", $"delete from ledger_entry where subject = '{payment}'");
        await Seen("booking-fee-entry-differs", $"delete from ledger_entry where subject = '{booking}'");
        await Seen("booking-fee-entry-differs", $"update ledger_entry set amount_minor = 249 where subject = '{booking}'");
        await Seen("booking-fee-entry-differs", $"update booking set state = 'Confirmed' where id = '{booking}'");
        await Seen("incident-entries-differ", $"update ledger_entry set amount_minor = 799 where subject = '{incident}'");
        Assert.Empty(await Broken(service));
    }

    /// <summary>The rules broken now, as the checking role sees it.</summary>
    internal static async Task<List<string>> Broken(Service service)
    {
        await using var audit = new NpgsqlConnection(service.Links.Audit + ";Pooling=false");
        await audit.OpenAsync(TestContext.Current.CancellationToken);
        return await Rules(audit);
    }

    /// <summary>Plants a fault past every wall, sees it by its rule, and takes it back.</summary>
    private async Task Seen(string rule, string sql)
    {
        await using var admin = new NpgsqlConnection(service.Links.Admin + ";Pooling=false");
        await admin.OpenAsync(TestContext.Current.CancellationToken);
        await using var planting = await admin.BeginTransactionAsync(TestContext.Current.CancellationToken);
        await using (var plant = new NpgsqlCommand("set local session_replication_role = replica; " + sql, admin))
            Assert.True(await plant.ExecuteNonQueryAsync(TestContext.Current.CancellationToken) != 0, "nothing was planted: " + sql);
        Assert.Contains(rule, await Rules(admin), StringComparer.Ordinal);
        await planting.RollbackAsync(TestContext.Current.CancellationToken);
    }

    private static async Task<List<string>> Rules(NpgsqlConnection connection) => [.. (await Invariants.Offences(connection)).Select(o => o.Split(':')[0])];
}
