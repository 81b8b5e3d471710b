using System.Net;
using System.Text.Json;
using KilnShare.Api.Access;
using KilnShare.Api.Tests.Access;
using KilnShare.Api.Tests.Common;
using KilnShare.Core.Studios;
using Caller = KilnShare.Api.Tests.Common.Caller;

namespace KilnShare.Api.Tests.Costs;

/// <summary>Who reads whose amounts: by default a potter their own, and totals that hide the others; a viewer none.</summary>
public sealed class AmountsShownTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task In_a_firing_of_two_a_potter_reads_their_own_amounts_and_no_total_in_any_form()
    {
        var world = await AmountsWorld.Make(service);
        var firing = $"{world.Path}/firings/{world.OfTwo}";
        foreach (var form in new[] { "settlement", "cost-split" })
        {
            var answer = (await world.Studio.Potter.Get($"{firing}/{form}")).Expect(HttpStatusCode.OK).Body;
            Assert.Equal(("own", JsonValueKind.Null), (answer.GetProperty("shown").GetString(), answer.GetProperty("energyKwh").ValueKind));
            Assert.Contains("subtraction", answer.GetProperty("withheld").GetString(), StringComparison.Ordinal);
            Assert.Equal(JsonValueKind.Null, answer.GetProperty("split").GetProperty("totalMinor").ValueKind);
            Assert.Equal([world.Studio.PotterId.ToString()], CostStudio.Shares(answer.GetProperty("split")).Keys);
        }

        var bill = (await world.Studio.Potter.Get(firing + "/bill")).Expect(HttpStatusCode.OK).Body;
        var line = Assert.Single(bill.GetProperty("lines").EnumerateArray());
        Assert.Equal("Mira", line.GetProperty("name").GetString());
        Assert.All(new[] { "totalMinor", "energyKwh", "perKwh" }, name => Assert.Equal(JsonValueKind.Null, bill.GetProperty(name).ValueKind));
        Assert.Equal((JsonValueKind.Null, 0), (line.GetProperty("volumePercent").ValueKind, bill.GetProperty("costs").GetArrayLength()));
        var rows = CsvReading.Rows((await world.Studio.Potter.Get(firing + "/bill.csv")).Expect(HttpStatusCode.OK).Text);
        Assert.All(rows.Skip(1).SkipLast(1), r => Assert.Equal("Mira", r[1]));
        Assert.Contains("subtraction", rows[^1][^1], StringComparison.Ordinal);
        var paper = PdfReading.Text(await world.Studio.Potter.Bytes(firing + "/bill.pdf"));
        Assert.Contains("subtraction", paper, StringComparison.Ordinal);
        Assert.Contains("Mira", paper, StringComparison.Ordinal);
        Assert.DoesNotContain("Jonas", paper, StringComparison.Ordinal);
    }

    [Fact]
    public async Task From_three_members_on_a_potter_reads_the_total_too_and_a_viewer_never_does()
    {
        var world = await AmountsWorld.Make(service);
        var firing = $"{world.Path}/firings/{world.OfThree}";
        var all = (await world.Studio.Technician.Get(firing + "/bill")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(("everything", JsonValueKind.Null, 3),
            (all.GetProperty("shown").GetString(), all.GetProperty("withheld").ValueKind, all.GetProperty("lines").GetArrayLength()));
        var mine = (await world.Studio.Potter.Get(firing + "/bill")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(("ownAndTotals", all.GetProperty("totalMinor").GetInt64()),
            (mine.GetProperty("shown").GetString(), mine.GetProperty("totalMinor").GetInt64()));
        Assert.Equal(all.GetProperty("costs").GetRawText(), mine.GetProperty("costs").GetRawText());
        Assert.Equal("Mira", Assert.Single(mine.GetProperty("lines").EnumerateArray()).GetProperty("name").GetString());
        var none = (await world.Studio.Viewer.Get(firing + "/bill")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(("nothing", JsonValueKind.Null, 0),
            (none.GetProperty("shown").GetString(), none.GetProperty("totalMinor").ValueKind, none.GetProperty("lines").GetArrayLength()));
        Assert.NotNull(none.GetProperty("withheld").GetString());
        Assert.Contains("does not show amounts", PdfReading.Text(await world.Studio.Viewer.Bytes(firing + "/bill.pdf")), StringComparison.Ordinal);
    }

    /// <summary>Not only the routes that are marked: nothing at all that can be read tells another's amount, in JSON, CSV, PDF or a picture.</summary>
    [Fact]
    public async Task No_route_tells_another_members_amount_to_whom_the_studio_does_not_show_it()
    {
        var world = await AmountsWorld.Make(service);
        var (mira, jonas, nora) = (world.Studio.PotterId, world.Costs.OtherPotterId, world.Third);
        var (asked, told) = await Walk(world, world.Studio.Potter, Role.Potter, await world.Secrets(jonas, nora));
        Assert.Empty(told);
        Assert.Empty(AccessTable.Rows.Where(r => r.Value.ShowsAmounts && r.Key is not ("quoteFiring")).Select(r => r.Key)
            .Except(asked, StringComparer.Ordinal));
        Assert.Empty((await Walk(world, world.Studio.Viewer, Role.Viewer, await world.Secrets(mira, jonas, nora))).Told);

        // The same walk finds them where they are shown: with all, and on no route that is not marked in the table.
        await world.Show("potters");
        told = (await Walk(world, world.Studio.Potter, Role.Potter, await world.Secrets(jonas, nora))).Told;
        Assert.Equal(
            ["findBookings", "listBookings", "listIncidents", "readBill", "readBillCsv", "readBillPdf", "readBooking", "readFiringCostSplit", "readSettlement",
                "readSurcharges"],
            told.Select(t => t.Split(' ')[0]).Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal));
        Assert.Empty((await Walk(world, world.Studio.Viewer, Role.Viewer, await world.Secrets(mira, jonas, nora))).Told);
        await world.Show("everyone");
        Assert.Contains("readBill tells a share of two", (await Walk(world, world.Studio.Viewer, Role.Viewer, await world.Secrets(jonas))).Told);
    }

    [Fact]
    public async Task A_quote_beside_one_other_tells_nothing_of_the_others_room_and_beside_two_it_does()
    {
        var world = await AmountsWorld.Make(service);
        var bookings = $"{world.Path}/firings/{world.Open}/bookings";
        var mine = await world.Costs.Piece(world.Studio.Potter);
        Assert.Equal("ownAndTotals", (await Quote()).GetProperty("shown").GetString());
        (await world.Studio.OtherPotter.Post(bookings, new { pieces = new[] { new { pieceId = await world.Costs.Piece(world.Studio.OtherPotter) } } }))
            .Expect(HttpStatusCode.Created);
        var quote = await Quote();
        Assert.Equal(("own", JsonValueKind.Null, JsonValueKind.Null),
            (quote.GetProperty("shown").GetString(), quote.GetProperty("energyKwh").ValueKind, quote.GetProperty("load").GetProperty("volumeCm3").ValueKind));
        Assert.NotEqual(0, quote.GetProperty("likelyMinor").GetInt64());
        var third = (await world.Studio.Add(service, "Ove", "potter")).Caller;
        (await third.Post(bookings, new { pieces = new[] { new { pieceId = await world.Costs.Piece(third) } } })).Expect(HttpStatusCode.Created);
        Assert.Equal(JsonValueKind.Number, (await Quote()).GetProperty("load").GetProperty("volumeCm3").ValueKind);

        async Task<JsonElement> Quote() =>
            (await world.Studio.Potter.Post($"{world.Path}/firings/{world.Open}/quotes", new { pieces = new[] { new { pieceId = mine } } }, ""))
                .Expect(HttpStatusCode.OK).Body;
    }

    [Fact]
    public async Task What_a_month_added_to_the_books_is_told_to_those_who_read_all_amounts()
    {
        var world = await AmountsWorld.Make(service);
        (await world.Studio.Owner.Put(world.Path + "/closings/2026-01", new { })).Expect(HttpStatusCode.OK);
        foreach (var (caller, told) in new[] { (world.Studio.Owner, JsonValueKind.Number), (world.Studio.Potter, JsonValueKind.Null),
            (world.Studio.Viewer, JsonValueKind.Null) })
        {
            var closing = (await caller.Get(world.Path + "/closings")).Expect(HttpStatusCode.OK).Body.GetProperty("items")[0];
            Assert.Equal(told, closing.GetProperty("amountMinor").ValueKind);
            Assert.Equal(told == JsonValueKind.Null, closing.GetProperty("withheld").ValueKind == JsonValueKind.String);
        }
    }

    [Fact]
    public async Task Only_an_owner_says_who_reads_amounts_and_the_studio_tells_what_holds()
    {
        var studio = await service.MakeStudio();
        Assert.Equal("technicians", (await studio.Viewer.Get(studio.Path)).Body.GetProperty("amountsShownTo").GetString());
        (await studio.Technician.Patch(studio.Path, new { amountsShownTo = "everyone" }, "*")).Expect(HttpStatusCode.Forbidden);
        (await studio.Owner.Patch(studio.Path, new { amountsShownTo = "nobody" }, "*")).Expect(HttpStatusCode.BadRequest);
        (await studio.Owner.Patch(studio.Path, new { amountsShownTo = "potters" }, "*")).Expect(HttpStatusCode.OK);
        Assert.Equal("potters", (await studio.Viewer.Get(studio.Path)).Body.GetProperty("amountsShownTo").GetString());
    }

    [Fact]
    public async Task Answers_that_differ_by_caller_are_kept_by_no_shared_cache_and_one_callers_tag_is_not_anothers()
    {
        var world = await AmountsWorld.Make(service);
        var booking = $"{world.Path}/firings/{world.Open}/bookings/{world.Withdrawn}";
        var (all, mine) = ((await world.Studio.Technician.Get(booking)).Expect(HttpStatusCode.OK), (await world.Studio.Potter.Get(booking))
            .Expect(HttpStatusCode.OK));
        Assert.True(all.Body.TryGetProperty("feeMinor", out _));
        Assert.False(mine.Body.TryGetProperty("feeMinor", out _));
        Assert.False(all.Body.TryGetProperty("withheld", out _));
        Assert.Contains("ask a technician", mine.Body.GetProperty("withheld").GetString(), StringComparison.Ordinal);
        foreach (var reply in new[] { all, mine, await world.Studio.Potter.Get($"{world.Path}/firings/{world.OfTwo}/bill.pdf") })
        {
            Assert.True(reply.Headers.CacheControl!.Private);
            Assert.Contains("Authorization", reply.Headers.Vary);
        }

        Assert.NotEqual(all.Headers.ETag, mine.Headers.ETag);
        await world.Show("potters");
        Assert.Equal(all.Headers.ETag, (await world.Studio.Potter.Get(booking)).Headers.ETag);
    }

    /// <summary>Asks every GET of the service that this world has ids for, and names those whose answer tells a secret.</summary>
    private async Task<(HashSet<string> Asked, IReadOnlyList<string> Told)> Walk(
        AmountsWorld world, Caller caller, Role role, IReadOnlyDictionary<string, string> secrets)
    {
        var (asked, told) = (new HashSet<string>(StringComparer.Ordinal), new List<string>());
        foreach (var route in RouteUnderTest.All(service).Where(r => r.Method == "GET" && r.Row.Least is not null))
        {
            foreach (var firing in route.Parameters.Contains("firingId", StringComparer.Ordinal)
                ? new[] { world.OfTwo, world.OfThree, world.Open } : [world.OfTwo])
            {
                var ids = world.Ids(firing);
                if (route.Parameters.Any(p => ids(p) is null)) continue;
                asked.Add(route.Operation);
                if (route.Row.Least < role) continue;
                var path = route.Path(name => ids(name)!.Value);
                var reply = await caller.Get(
                    path + (route.Operation.StartsWith("readStatement", StringComparison.Ordinal) ? "?from=2020-01-01&to=2090-01-01" : ""));
                var text = reply.ContentType == "application/pdf" ? PdfReading.Text(await caller.Bytes(path)) : reply.Text;
                told.AddRange(secrets.Where(s => text.Contains(s.Key, StringComparison.Ordinal)).Select(s => $"{route.Operation} tells {s.Value}"));
            }
        }

        return (asked, told);
    }
}
