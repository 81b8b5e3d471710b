using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Costs;

public sealed class SettlementTests(Service service) : IClassFixture<Service>
{
    /// <summary>More headroom weighs more on flat ware: shares would move if an old firing were counted in the kiln as it is now.</summary>
    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task What_a_firing_costs_goes_by_the_kiln_its_ware_was_planned_or_loaded_in(bool isBooked)
    {
        var studio = await CostStudio.Make(service);
        var firing = await studio.Accepting();
        var (tall, flat) = (await studio.Piece(studio.Studio.Potter, heightMm: 200), await studio.Piece(studio.Studio.OtherPotter, heightMm: 20));
        foreach (var (who, piece) in new[] { (studio.Studio.Potter, tall), (studio.Studio.OtherPotter, flat) })
            if (isBooked) (await who.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece } } }))
                .Expect(HttpStatusCode.Created);
        await studio.Fire(firing, [tall, flat]);
        var before = await Split();
        var kiln = $"{studio.Path}/kilns/{studio.Kiln}";
        (await studio.Studio.Technician.Patch(kiln, new { spacing = new { headroomMm = 90 } }, "*")).Expect(HttpStatusCode.OK);
        Assert.Equal(before, await Split());

        async Task<string> Split() => (await studio.Studio.Technician.Get($"{studio.Path}/firings/{firing}/cost-split"))
            .Expect(HttpStatusCode.OK).Body.GetProperty("split").GetProperty("shares").GetRawText();
    }

    // 63.4 kWh at 0.312 are 19.7808, so 1978; by room 3 to 1: 1483.5 and 494.5, whose equal remainders go one way by the tie order.
    // Wear of 450 is 225 each.
    [Fact]
    public async Task A_settlement_writes_every_share_and_its_sum_is_the_cost()
    {
        var studio = await CostStudio.Make(service);
        var firing = await studio.Unloaded();
        var settled = (await studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/settlement")).Expect(HttpStatusCode.Created).Body;
        var shares = CostStudio.Shares(settled.GetProperty("split"));
        Assert.Equal(1978 + 450, shares.Values.Sum());
        Assert.InRange(shares[studio.Studio.PotterId.ToString()], 1483 + 225, 1484 + 225);
        Assert.Equal(shares[studio.Studio.PotterId.ToString()], await studio.Balance(studio.Studio.PotterId));
        Assert.Equal(shares[studio.OtherPotterId.ToString()], await studio.Balance(studio.OtherPotterId));
    }

    [Fact]
    public async Task Sixteen_settlements_at_once_are_one()
    {
        var studio = await CostStudio.Make(service);
        var firing = await studio.Unloaded();
        var path = $"{studio.Path}/firings/{firing}/settlement";
        var replies = await Task.WhenAll(Enumerable.Range(0, 16).Select(_ => studio.Studio.Technician.Post(path)));
        Assert.Single(replies, r => r.Status == HttpStatusCode.Created);
        Assert.All(replies.Where(r => r.Status != HttpStatusCode.Created), r => Assert.Equal("costs.already-settled", r.Expect(HttpStatusCode.Conflict).Code));
        Assert.Equal(1978 + 450, await studio.Balance(studio.Studio.PotterId) + await studio.Balance(studio.OtherPotterId));
        Assert.Equal(1, (await studio.Studio.Technician.Get(path)).Body.GetProperty("revision").GetInt32());
    }

    // 53.4 kWh at 0.312 are 16.6608, so 1666.
    [Theory]
    [InlineData("register")]
    [InlineData("energy")]
    public async Task A_corrected_meter_takes_the_old_shares_back_and_writes_the_new(string by)
    {
        var studio = await CostStudio.Make(service);
        var firing = await studio.Settled();
        var path = $"{studio.Path}/firings/{firing}/settlement";
        object body = by == "register" ? new { endRegisterKwh = 4874.8m, reason = "digits swapped" } : new { energyKwh = 53.4m, reason = "digits swapped" };
        var corrected = (await studio.Studio.Technician.Post(path + "/corrections", body)).Expect(HttpStatusCode.Created).Body;
        Assert.Equal(2, corrected.GetProperty("revision").GetInt32());
        Assert.Equal(53.4m, corrected.GetProperty("energyKwh").GetDecimal());
        var shares = CostStudio.Shares(corrected.GetProperty("split"));
        Assert.Equal(1666 + 450, shares.Values.Sum());
        Assert.Equal(shares[studio.Studio.PotterId.ToString()], await studio.Balance(studio.Studio.PotterId));
        Assert.Equal(corrected.GetProperty("split").GetRawText(), (await studio.Studio.Technician.Get(path)).Body.GetProperty("split").GetRawText());
        var kinds = (await studio.Statement(studio.Studio.Owner, studio.Studio.PotterId, "2020-01-01", "2090-01-01")).Body.GetProperty("entries")
            .EnumerateArray().Select(e => e.GetProperty("kind").GetString());
        Assert.Equal("settlement settlement reversal reversal settlement settlement", string.Join(' ', kinds));
    }

    // Settle, correct to something else, correct back: no effect beside the first settlement.
    [Fact]
    public async Task Correcting_there_and_back_leaves_the_balances_as_they_were()
    {
        var studio = await CostStudio.Make(service);
        var firing = await studio.Settled();
        var before = (await studio.Balance(studio.Studio.PotterId), await studio.Balance(studio.OtherPotterId));
        foreach (var kwh in new[] { 10m, 0.001m, 63.4m })
            (await studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/settlement/corrections", new { energyKwh = kwh, reason = "again" }))
                .Expect(HttpStatusCode.Created);
        Assert.Equal(before, (await studio.Balance(studio.Studio.PotterId), await studio.Balance(studio.OtherPotterId)));
    }

    [Fact]
    public async Task Corrections_at_once_come_one_after_another()
    {
        var studio = await CostStudio.Make(service);
        var firing = await studio.Settled();
        var path = $"{studio.Path}/firings/{firing}/settlement";
        var replies = await Task.WhenAll(
            Enumerable.Range(1, 8).Select(i => studio.Studio.Technician.Post(path + "/corrections", new { energyKwh = 50 + i, reason = "again" })));
        Assert.Equal(Enumerable.Range(2, 8), replies.Select(r => r.Expect(HttpStatusCode.Created).Body.GetProperty("revision").GetInt32()).Order());
        var last = CostStudio.Shares((await studio.Studio.Technician.Get(path)).Body.GetProperty("split"));
        Assert.Equal(last[studio.Studio.PotterId.ToString()], await studio.Balance(studio.Studio.PotterId));
    }

    [Fact]
    public async Task A_correction_that_cannot_be_is_refused()
    {
        var studio = await CostStudio.Make(service);
        var open = await studio.Unloaded();
        var settled = await studio.Settled();
        Task<Reply> Correct(Guid firing, object body) => studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/settlement/corrections", body);
        Assert.Equal("costs.not-settled", (await Correct(open, new { energyKwh = 5, reason = "x" })).Expect(HttpStatusCode.Conflict).Code);
        var fell = (await Correct(settled, new { endRegisterKwh = 4821, reason = "x" })).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal(("energy.register-fell", "/endRegisterKwh"), (fell.Code, fell.Pointer));
        Assert.Equal("costs.one-of-two", (await Correct(settled, new { endRegisterKwh = 5000, energyKwh = 5, reason = "x" }))
            .Expect(HttpStatusCode.BadRequest).Code);
        Assert.Equal("costs.one-of-two", (await Correct(settled, new { reason = "x" })).Expect(HttpStatusCode.BadRequest).Code);
    }
}
