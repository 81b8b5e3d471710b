using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Costs;

public sealed class CostRulesTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Rules_are_usual_until_written_and_an_edit_on_an_old_copy_is_refused()
    {
        var studio = await CostStudio.Make(service);
        var path = studio.Path + "/cost-rules";
        var usual = (await studio.Studio.Viewer.Get(path)).Expect(HttpStatusCode.OK);
        Assert.Equal("volume", usual.Body.GetProperty("energyBasis").GetString());
        Assert.Equal("request.if-match-missing", (await studio.Studio.Owner.Put(path, new { })).Expect((HttpStatusCode)428).Code);
        var etag = usual.Headers.ETag!.Tag;
        (await studio.Studio.Technician.Send(HttpMethod.Put, path, new { }, ifMatch: etag)).Expect(HttpStatusCode.Forbidden);
        var written = (await studio.Studio.Owner.Send(HttpMethod.Put, path, new { energyBasis = "mass", minimumMinor = 200 }, ifMatch: etag))
            .Expect(HttpStatusCode.OK);
        Assert.StartsWith("\"1.", written.Headers.ETag!.Tag, StringComparison.Ordinal);
        (await studio.Studio.Owner.Send(HttpMethod.Put, path, new { }, ifMatch: etag)).Expect(HttpStatusCode.PreconditionFailed);
        Assert.Equal(written.Text, (await studio.Studio.Viewer.Get(path)).Text);
    }

    [Fact]
    public async Task Nonsense_is_refused_where_it_stands()
    {
        var studio = await CostStudio.Make(service);
        async Task Refused(object rules, string pointer) => Assert.Equal(
            pointer, (await studio.Studio.Owner.Send(HttpMethod.Put, studio.Path + "/cost-rules", rules, ifMatch: "*"))
                .Expect(HttpStatusCode.BadRequest).Pointer);
        await Refused(new { energyBasis = "direct" }, "/energyBasis");
        await Refused(new { wearBasis = "kwh" }, "/wearBasis");
        await Refused(new { minimumMinor = -1 }, "/minimumMinor");
        await Refused(new { surcharges = new[] { new { name = "energy", eachMinor = 1 } } }, "/surcharges/0/name");
        await Refused(new { failed = new { shortPercent = 101 } }, "/failed/shortPercent");
        await Refused(new { priceList = new { prices = new[] { new { kind = "glaze", perLitre = "1,20" } } } }, "/priceList/prices/0/perLitre");
        await Refused(new { discounts = new[] { new { memberId = studio.OtherPotterId, percent = 0 } } }, "/discounts/0/percent");
        var stranger = await studio.Studio.Owner.Send(
            HttpMethod.Put, studio.Path + "/cost-rules", new { discounts = new[] { new { memberId = Guid.NewGuid(), percent = 5 } } }, ifMatch: "*");
        Assert.Equal("/discounts/0/memberId", stranger.Expect(HttpStatusCode.UnprocessableEntity).Pointer);
    }

    // 3 of 4 equal pieces; energy 1978 by number of pieces is 1483.5 and 494.5; bisque wear does not apply to a glaze firing, so 450 by pieces 337.5 and 112.5.
    [Fact]
    public async Task Energy_and_wear_go_by_the_basis_the_studio_chose()
    {
        var studio = await CostStudio.Make(service);
        await studio.Rules(new { energyBasis = "pieces", wearBasis = "pieces", wearRates = new[] { new { kind = "bisque", percent = 0 } } });
        var cost = await Cost(studio, await studio.Unloaded());
        Assert.InRange(cost.Mira, 1483 + 337, 1484 + 338);
        Assert.Equal(1978 + 450, cost.Mira + cost.Other);
        Assert.Contains("Divided by the number of pieces each of you had in the kiln.", cost.Text, StringComparison.Ordinal);
    }

    // Kilns wear out less in some kinds of firing: half of 450 is 225.
    [Fact]
    public async Task Wear_is_charged_by_kind_of_firing()
    {
        var studio = await CostStudio.Make(service);
        await studio.Rules(new { wearRates = new[] { new { kind = "glaze", percent = 50 } } });
        var cost = await Cost(studio, await studio.Unloaded());
        Assert.Equal(1978 + 225, cost.Mira + cost.Other);
    }

    [Fact]
    public async Task A_minimum_raises_small_shares_and_never_stops_a_settlement()
    {
        var studio = await CostStudio.Make(service);
        await studio.Rules(new { minimumMinor = 1_000 });
        var firing = await studio.Unloaded();
        var cost = await Cost(studio, firing);
        Assert.Equal((1_428, 1_000), (cost.Mira, cost.Other));
        await studio.Rules(new { minimumMinor = 100_000 });
        cost = await Cost(studio, firing);
        Assert.Equal((1_214, 1_214), (cost.Mira, cost.Other));
        Assert.Contains("costs.minimum-lowered", cost.Text, StringComparison.Ordinal);
        (await studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/settlement")).Expect(HttpStatusCode.Created);
    }

    [Fact]
    public async Task Surcharges_and_discounts_reach_the_members_they_are_meant_for()
    {
        var studio = await CostStudio.Make(service);
        var firing = await studio.Unloaded();
        var before = await Cost(studio, firing);
        await studio.Rules(new
        {
            surcharges = new[] { new { name = "catcher", eachMinor = 150 }, new { name = "unloading", eachMinor = -300 } },
            discounts = new[] { new { memberId = studio.OtherPotterId, percent = 10 } },
        });
        var path = $"{studio.Path}/firings/{firing}/surcharges";
        object Uses(Guid member, string name) => new { surcharges = new[] { new { memberId = member, name, count = 2 } } };
        Assert.Equal("costs.unknown-surcharge", (await studio.Studio.Technician.Put(path, Uses(studio.Studio.PotterId, "stilt")))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("costs.not-in-load", (await studio.Studio.Technician.Put(path, Uses(Guid.NewGuid(), "catcher")))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        (await studio.Studio.Technician.Put(path, Uses(studio.Studio.PotterId, "catcher"))).Expect(HttpStatusCode.OK);
        var after = await Cost(studio, firing);
        Assert.Equal(before.Mira + 300, after.Mira);
        Assert.Equal(before.Other - decimal.Round(before.Other / 10m, MidpointRounding.AwayFromZero), after.Other);
        Assert.Equal(before.Other - after.Other, after.Studio);
        Assert.Equal(1978 + 450 + 300, after.Mira + after.Other + after.Studio);
    }

    [Fact]
    public async Task Of_a_failed_firing_members_bear_what_the_studio_says()
    {
        var studio = await CostStudio.Make(service);
        await studio.Rules(new { failed = new { shortPercent = 50, overPercent = 0 } });
        var cost = await Cost(studio, await studio.Unloaded(outcome: "short"));
        Assert.Equal((989 + 225, 989 + 225), (cost.Mira + cost.Other, cost.Studio));
        cost = await Cost(studio, await studio.Unloaded(outcome: "over"));
        Assert.Equal((0, 1978 + 450), (cost.Mira + cost.Other, cost.Studio));
        cost = await Cost(studio, await studio.Unloaded(outcome: "aborted"));
        Assert.Equal(1978 + 450, cost.Mira + cost.Other);
    }

    // A cylinder of 90 mm with half of 6 mm all round is a disc of 96 mm, times 100 + 12 mm of height: π·4.8²·11.2 = 810.682 cm³ (geometry).
    // At 2 a litre: 3 pieces 2432.05 cm³ → 4.86; 1 piece 810.682 cm³ → 1.62.
    [Fact]
    public async Task List_prices_stand_beside_the_meter_with_the_difference_to_the_studio()
    {
        var studio = await CostStudio.Make(service);
        var firing = await studio.Unloaded();
        var metered = await Cost(studio, firing);
        await studio.Rules(new { priceList = new { prices = new[] { new { kind = "glaze", perLitre = "2" } } } });
        var cost = await Cost(studio, firing);
        Assert.Equal((486, 162, 2428 - 486 - 162), (cost.Mira, cost.Other, cost.Studio));
        var body = (await studio.Studio.Technician.Get($"{studio.Path}/firings/{firing}/cost-split")).Body;
        Assert.Equal(metered.Mira, CostStudio.Shares(body.GetProperty("metered"))[studio.Studio.PotterId.ToString()]);
        Assert.Equal(2428 - 486 - 162, body.GetProperty("differenceMinor").GetInt64());
        await studio.Rules(new { priceList = new { prices = new[] { new { kind = "bisque", perLitre = "1" } } } });
        Assert.Equal(metered.Mira, (await Cost(studio, firing)).Mira);
    }

    // The chamber of 585 mm less 25 all round is a disc of 535 mm; 685 − 12 mm high: π·26.75²·67.3 = 151,290 cm³ (geometry), of which 4 ×
    // 810.682 are used.
    [Fact]
    public async Task The_studio_pays_for_room_that_nobody_used_where_it_says_so()
    {
        var studio = await CostStudio.Make(service);
        await studio.Rules(new { unusedSpace = "studio" });
        var cost = await Cost(studio, await studio.Unloaded());
        var used = 4 * 810.682 / (Math.PI * 26.75 * 26.75 * 67.3);
        Assert.InRange(cost.Mira + cost.Other - 450, (1978 * used) - 2, (1978 * used) + 2);
        Assert.Equal(1978 + 450, cost.Mira + cost.Other + cost.Studio);
    }

    [Theory]
    [InlineData("equal")]
    [InlineData("footprint")]
    [InlineData("mass")]
    [InlineData("kwh")]
    public async Task Every_basis_shares_a_real_firing_to_the_cent(string basis)
    {
        var studio = await CostStudio.Make(service);
        await studio.Rules(new { energyBasis = basis });
        var cost = await Cost(studio, await studio.Unloaded());
        Assert.Equal(1978 + 450, cost.Mira + cost.Other);
        Assert.InRange(cost.Mira - 225, basis == "equal" ? 989 : 1483, basis == "equal" ? 989 : 1484);
    }

    // Jonas brings one tall piece of the same weight as each of Mira's three: by heat he pays less than by room.
    [Fact]
    public async Task By_kWh_is_offered_once_the_kiln_is_learnt_and_room_holds_until_then()
    {
        var studio = await CostStudio.Make(service);
        var schedule = TestStudio.IdOf(await studio.Studio.Technician.Post(
            studio.Path + "/schedules", new { name = "to cone 6", startC = 20, segments = new[] { new { rateCPerHour = 120, toC = 1222 } } }));
        var firings = new List<Guid>();
        for (var i = 0; i < 3; i++)
        {
            var (firing, pieces) = (await studio.Accepting(
                schedule), new[] { await studio.Piece(studio.Studio.Potter, 3), await studio.Piece(studio.Studio.OtherPotter, heightMm: 300) });
            await studio.Fire(firing, pieces);
            firings.Add(firing);
            var offered = (await studio.Studio.Technician.Get($"{studio.Path}/firings/{firing}/cost-split"))
                .Expect(HttpStatusCode.OK).Body.GetProperty("byKwh");
            Assert.Equal(i < 2 ? System.Text.Json.JsonValueKind.Null : System.Text.Json.JsonValueKind.Object, offered.ValueKind);
        }

        var path = $"{studio.Path}/firings/{firings[2]}";
        var byKwh = CostStudio.Shares((await studio.Studio.Technician.Get(path + "/cost-split")).Body.GetProperty("byKwh"))[studio.OtherPotterId.ToString()];
        var byRoom = (await Cost(studio, firings[2])).Other;
        Assert.True(byKwh < byRoom, $"{byKwh} by heat, {byRoom} by room");
        await studio.Rules(new { energyBasis = "kwh" });
        Assert.Equal(byKwh, (await Cost(studio, firings[2])).Other);
        (await studio.Studio.Technician.Post(path + "/settlement")).Expect(HttpStatusCode.Created);

        await studio.UseKiln(await studio.Studio.MakeKiln());
        var unlearnt = await studio.Unloaded();
        var cost = await Cost(studio, unlearnt);
        Assert.Contains("costs.kiln-not-learnt", cost.Text, StringComparison.Ordinal);
        Assert.InRange(cost.Other, 494 + 225, 495 + 225);
        (await studio.Studio.Technician.Post($"{studio.Path}/firings/{unlearnt}/settlement")).Expect(HttpStatusCode.Created);
    }

    /// <summary>Power samples tell a firing's energy as registers do; duty and gas tell nothing of what an electric kiln took.</summary>
    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task A_kiln_is_learnt_from_samples_of_its_power_and_not_from_duty(bool samples)
    {
        var studio = await CostStudio.Make(service);
        var schedule = TestStudio.IdOf(await studio.Studio.Technician.Post(
            studio.Path + "/schedules", new { name = "to cone 6", startC = 20, segments = new[] { new { rateCPerHour = 120, toC = 1222 } } }));
        for (var i = 0; i < 3; i++)
        {
            var firing = await studio.Accepting(schedule);
            await studio.Fire(firing, [await studio.Piece(studio.Studio.Potter), await studio.Piece(studio.Studio.OtherPotter)], kwh: null);
            object hand = samples
                ? new { powerSamples = new[] { new { at = "2026-01-10T08:00:00Z", kw = 6 }, new { at = "2026-01-10T20:00:00Z", kw = 6 } } }
                : new { ratedKw = 11.5, duty = new[] { new { hours = 10, dutyPercent = 55 } } };
            (await studio.Studio.Technician.Put($"{studio.Path}/firings/{firing}/unmetered-energy", hand)).Expect(HttpStatusCode.OK);
            var offered = (await studio.Studio.Technician.Get($"{studio.Path}/firings/{firing}/cost-split"))
                .Expect(HttpStatusCode.OK).Body.GetProperty("byKwh");
            Assert.Equal(samples && i == 2 ? System.Text.Json.JsonValueKind.Object : System.Text.Json.JsonValueKind.Null, offered.ValueKind);
        }
    }

    [Fact]
    public async Task A_basis_that_nobody_measured_is_refused_with_what_to_do()
    {
        var studio = await CostStudio.Make(service);
        var firing = await studio.Unloaded();
        await studio.Rules(new { wearBasis = "levelHeight" });
        var refused = (await studio.Studio.Technician.Get($"{studio.Path}/firings/{firing}/cost-split")).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("costs.shelf-missing", refused.Code);
        Assert.Equal("costs.shelf-missing", (await studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/settlement"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    [Fact]
    public async Task A_settlement_keeps_the_rules_it_was_made_by()
    {
        var studio = await CostStudio.Make(service);
        var firing = await studio.Settled();
        var before = await Cost(studio, firing);
        await studio.Rules(new { energyBasis = "equal" });
        Assert.Equal(before.Text, (await Cost(studio, firing)).Text);
        var corrected = (await studio.Studio.Technician.Post(
            $"{studio.Path}/firings/{firing}/settlement/corrections", new { energyKwh = 63.4, reason = "checked again" })).Expect(HttpStatusCode.Created).Body;
        Assert.Equal(before.Mira, CostStudio.Shares(corrected.GetProperty("split"))[studio.Studio.PotterId.ToString()]);
    }

    private static async Task<(long Mira, long Other, long Studio, string Text)> Cost(CostStudio studio, Guid firing)
    {
        var reply = (await studio.Studio.Technician.Get($"{studio.Path}/firings/{firing}/cost-split")).Expect(HttpStatusCode.OK);
        var shares = CostStudio.Shares(reply.Body.GetProperty("split"));
        return (shares[studio.Studio.PotterId.ToString()], shares[studio.OtherPotterId.ToString()], shares.GetValueOrDefault(""), reply.Text);
    }
}
