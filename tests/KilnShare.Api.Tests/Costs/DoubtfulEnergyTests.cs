using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Costs;

/// <summary>Readings that cannot be stop before the books.</summary>
public sealed class DoubtfulEnergyTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task More_than_the_kiln_can_give_stops_and_only_an_owner_settles_it_all_the_same()
    {
        var studio = await CostStudio.Make(service);
        await studio.UseKiln(await studio.Studio.MakeKiln(ratedKw: 11.5m));
        var firing = await studio.Unloaded(kwh: 634m);
        var path = $"{studio.Path}/firings/{firing}";
        var told = (await studio.Studio.Technician.Get(path + "/cost-split")).Expect(HttpStatusCode.OK).Body.GetProperty("doubts").EnumerateArray();
        Assert.Equal(["energy.above-rated-power"], told.Select(d => d.GetProperty("code").GetString()));
        foreach (var who in new[] { studio.Studio.Technician, studio.Studio.Owner })
        {
            var stopped = (await who.Post(path + "/settlement")).Expect(HttpStatusCode.UnprocessableEntity);
            Assert.Equal("energy.above-rated-power", stopped.Code);
            Assert.Contains("634 kWh", stopped.Text, StringComparison.Ordinal);
            Assert.Contains("11.5 kW", stopped.Text, StringComparison.Ordinal);
            Assert.Contains("an owner", stopped.Text, StringComparison.Ordinal);
        }

        Assert.Equal(0, await studio.Balance(studio.Studio.PotterId));
        object word = new { overrule = new[] { "energy.above-rated-power" }, reason = "the plate is of older elements" };
        Assert.Equal("costs.overrule-not-yours", (await studio.Studio.Technician.Post(path + "/settlement", word)).Expect(HttpStatusCode.Forbidden).Code);
        (await studio.Studio.Owner.Post(path + "/settlement", new { overrule = new[] { "energy.below-ware-heat" }, reason = "x" }))
            .Expect(HttpStatusCode.UnprocessableEntity);
        (await studio.Studio.Owner.Post(path + "/settlement", new { overrule = Array.Empty<string>(), reason = "x" })).Expect(HttpStatusCode.BadRequest);
        var settled = (await studio.Studio.Owner.Post(path + "/settlement", word)).Expect(HttpStatusCode.Created).Body.GetProperty("overruled");
        Assert.Equal("the plate is of older elements", settled.GetProperty("reason").GetString());
        Assert.Equal(studio.Studio.OwnerId, settled.GetProperty("memberId").GetGuid());
        var notes = (await studio.Studio.Owner.Get(path + "/bill")).Expect(HttpStatusCode.OK).Body.GetProperty("notes").EnumerateArray()
            .Select(n => n.GetString()!);
        Assert.Contains(notes, n => n.Contains("the plate is of older elements", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_correction_stops_alike()
    {
        var studio = await CostStudio.Make(service);
        await studio.UseKiln(await studio.Studio.MakeKiln(ratedKw: 11.5m));
        var path = $"{studio.Path}/firings/{await studio.Settled()}/settlement/corrections";
        foreach (object body in new object[] { new { energyKwh = 634m, reason = "x" }, new { endRegisterKwh = 5455.4m, reason = "x" } })
            Assert.Equal("energy.above-rated-power", (await studio.Studio.Owner.Post(path, body)).Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("energy.below-ware-heat", (await studio.Studio.Owner.Post(path, new { endRegisterKwh = 4821.5m, reason = "x" }))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        (await studio.Studio.Owner.Post(path, new { energyKwh = 634m, reason = "x", overrule = new[] { "energy.above-rated-power" } }))
            .Expect(HttpStatusCode.Created);
    }

    [Fact]
    public async Task A_meter_that_shows_less_than_the_ware_holds_stops()
    {
        var studio = await CostStudio.Make(service);
        var stopped = (await studio.Studio.Owner.Post($"{studio.Path}/firings/{await studio.Unloaded(kwh: 0.063m)}/settlement"))
            .Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("energy.below-ware-heat", stopped.Code);
        // A firing that was broken off need not have heated its ware.
        (await studio.Studio.Owner.Post($"{studio.Path}/firings/{await studio.Unloaded(kwh: 0.063m, outcome: "aborted")}/settlement"))
            .Expect(HttpStatusCode.Created);
    }

    [Fact]
    public async Task Gas_is_settled_at_the_price_of_gas_only_and_a_meter_keeps_its_unit()
    {
        var studio = await CostStudio.Make(service);
        var first = await Gas(studio);
        Assert.Equal("energy.priced-as-other-fuel", (await Settle(first)).Expect(HttpStatusCode.UnprocessableEntity).Code);
        var tariff = TestStudio.IdOf(await studio.Studio.Technician.Post(
            studio.Path + "/tariffs", new { name = "gas", fuel = "gas", currency = "EUR", periods = new[] { new { name = "always", perKwh = "0.09" } } }));
        Assert.Equal("gas", (await studio.Studio.Technician.Get($"{studio.Path}/tariffs/{tariff}")).Body.GetProperty("fuel").GetString());
        await studio.UseKiln(await studio.Studio.MakeKiln(tariff: tariff));
        var second = await Gas(studio);
        // 24 × 10.5 = 252 kWh at 0.09 are 22.68.
        var settled = (await Settle(second)).Expect(HttpStatusCode.Created).Body;
        Assert.Equal(2268 + 450, CostStudio.Shares(settled.GetProperty("split")).Values.Sum());
        Assert.Equal("energy.unit-differs", (await Settle(await Gas(studio, kwhPerUnit: null, hour: 40))).Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("energy.unit-not-likely", (await Settle(await Gas(studio, kwhPerUnit: 38.2m, hour: 80, meter: "other")))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);

        Task<Reply> Settle(Guid firing) => studio.Studio.Owner.Post($"{studio.Path}/firings/{firing}/settlement");
    }

    /// <summary>A firing that burnt 24 units of gas, unloaded.</summary>
    private static async Task<Guid> Gas(CostStudio studio, decimal? kwhPerUnit = 10.5m, int hour = 0, string meter = "gas")
    {
        var firing = await studio.Accepting();
        await studio.Fire(firing, [await studio.Piece(studio.Studio.Potter, 3), await studio.Piece(studio.Studio.OtherPotter)], kwh: null);
        var start = new DateTimeOffset(2026, 1, 10, 8, 0, 0, TimeSpan.Zero).AddHours(hour);
        foreach (var (at, register) in new[] { (start, 4100.25m + (hour * 10)), (start.AddHours(9), 4124.25m + (hour * 10)) })
            (await studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/meter-readings",
                new { readAt = at.ToString("O"), registerKwh = register, meter, kwhPerUnit })).Expect(HttpStatusCode.Created);
        return firing;
    }
}
