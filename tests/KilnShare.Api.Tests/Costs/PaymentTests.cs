using System.Net;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Costs;

public sealed class PaymentTests(Service service) : IClassFixture<Service>
{
    // A member's balance is what the member owes: money paid in and credits lower it, charges and money paid out raise it (double entry).
    [Fact]
    public async Task Each_kind_moves_the_account_its_own_way()
    {
        var studio = await CostStudio.Make(service);
        var mira = studio.Studio.PotterId;
        await studio.Pay(mira, "charge", 9_000, "a bag of clay");
        Assert.Equal(9_000, await studio.Balance(mira));
        await studio.Pay(mira, "payment", 5_000);
        await studio.Pay(mira, "credit", 500, "helped unloading");
        Assert.Equal(3_500, await studio.Balance(mira));
        await studio.Pay(mira, "writeOff", 500);
        await studio.Pay(mira, "deposit", 10_000);
        Assert.Equal(-7_000, await studio.Balance(mira));
        await studio.Pay(mira, "refund", 7_000);
        Assert.Equal(0, await studio.Balance(mira));
        var listed = (await studio.Studio.Owner.Get($"{studio.Path}/payments?memberId={mira}")).Expect(HttpStatusCode.OK).Body.GetProperty("items");
        Assert.Equal("charge payment credit writeOff deposit refund", string.Join(' ', listed.EnumerateArray().Select(p => p.GetProperty("kind").GetString())));
        Assert.Equal("a bag of clay", listed[0].GetProperty("reason").GetString());
    }

    [Fact]
    public async Task No_more_is_paid_out_or_written_off_than_is_there()
    {
        var studio = await CostStudio.Make(service);
        var mira = studio.Studio.PotterId;
        await studio.Pay(mira, "deposit", 1_000);
        var path = studio.Path + "/payments";
        Assert.Equal("costs.refund-above-credit", (await studio.Studio.Owner.Post(path, new { memberId = mira, kind = "refund", amountMinor = 1_001 }))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("costs.write-off-above-debt", (await studio.Studio.Owner.Post(path, new { memberId = mira, kind = "writeOff", amountMinor = 1 }))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        var refunds = await Task.WhenAll(
            Enumerable.Range(0, 8).Select(_ => studio.Studio.Owner.Post(path, new { memberId = mira, kind = "refund", amountMinor = 600 })));
        Assert.Single(refunds, r => r.Status == HttpStatusCode.Created);
        Assert.Equal(-400, await studio.Balance(mira));
    }

    [Fact]
    public async Task One_key_is_one_payment_however_often_it_is_sent()
    {
        var studio = await CostStudio.Make(service);
        var body = new { memberId = studio.Studio.PotterId, kind = "payment", amountMinor = 4_200, reason = "cash" };
        var replies = await Task.WhenAll(Enumerable.Range(0, 12).Select(_ => studio.Studio.Owner.Post(studio.Path + "/payments", body, "once")));
        Assert.All(replies, r => r.Expect(HttpStatusCode.Created));
        Assert.Single(replies.Select(r => r.Text).Distinct(StringComparer.Ordinal));
        Assert.Equal(-4_200, await studio.Balance(studio.Studio.PotterId));
    }

    [Fact]
    public async Task Only_the_owner_writes_payments_and_what_makes_no_sense_is_refused()
    {
        var studio = await CostStudio.Make(service);
        var path = studio.Path + "/payments";
        object Body(long amount) => new { memberId = studio.Studio.PotterId, kind = "payment", amountMinor = amount };
        (await studio.Studio.Technician.Post(path, Body(1))).Expect(HttpStatusCode.Forbidden);
        Assert.Equal("/amountMinor", (await studio.Studio.Owner.Post(path, Body(0))).Expect(HttpStatusCode.BadRequest).Pointer);
        Assert.Equal("request.idempotency-key", (await studio.Studio.Owner.Post(path, Body(1), "")).Expect(HttpStatusCode.BadRequest).Code);
        Assert.Equal("costs.no-such-member", (await studio.Studio.Owner.Post(path, new { memberId = Guid.NewGuid(), amountMinor = 1 }))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    [Fact]
    public async Task The_service_itself_cannot_change_or_delete_an_entry()
    {
        var studio = await CostStudio.Make(service);
        await studio.Pay(studio.Studio.PotterId, "payment", 100);
        await using var connection = new NpgsqlConnection(service.Links.App + ";Pooling=false");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        foreach (var sql in new[] { "update ledger_entry set amount_minor = 1", "delete from ledger_entry", "update payment set amount_minor = 1",
            "delete from settlement" })
        {
            await using var command = new NpgsqlCommand(sql, connection);
            var refused = await Assert.ThrowsAsync<PostgresException>(() => command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken));
            Assert.Equal(PostgresErrorCodes.InsufficientPrivilege, refused.SqlState);
        }
    }
}
