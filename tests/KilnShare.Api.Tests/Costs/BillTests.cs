using System.Globalization;
using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Costs;

public sealed class BillTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task A_bill_says_how_each_share_came_about_and_adds_up()
    {
        var studio = await CostStudio.Make(service);
        var firing = await studio.Settled();
        var bill = (await studio.Studio.Technician.Get($"{studio.Path}/firings/{firing}/bill")).Expect(HttpStatusCode.OK).Body;
        var lines = bill.GetProperty("lines").EnumerateArray().ToList();
        Assert.Equal(2428, bill.GetProperty("totalMinor").GetInt64());
        Assert.Equal(2428, lines.Sum(l => l.GetProperty("amountMinor").GetInt64()));
        Assert.Equal("Jonas Mira", string.Join(' ', lines.Select(l => l.GetProperty("name").GetString()).Order(StringComparer.Ordinal)));
        Assert.Equal([25m, 75m], lines.Select(l => l.GetProperty("volumePercent").GetDecimal()).Order());
        Assert.Equal("energy wear", string.Join(' ', bill.GetProperty("reasons").EnumerateObject().Select(r => r.Name).Order(StringComparer.Ordinal)));
        Assert.Equal(1, bill.GetProperty("revision").GetInt32());
        var rows = CsvReading.Rows((await studio.Studio.Technician.Get($"{studio.Path}/firings/{firing}/bill.csv")).Expect(HttpStatusCode.OK).Text);
        Assert.Equal(24.28m, rows.Skip(1).Sum(r => decimal.Parse(r[6], CultureInfo.InvariantCulture)));
        Assert.Equal("application/pdf", (await studio.Studio.Technician.Get($"{studio.Path}/firings/{firing}/bill.pdf")).Expect(HttpStatusCode.OK).ContentType);
    }

    [Fact]
    public async Task A_bill_not_settled_yet_says_so_and_one_that_cannot_be_shared_is_refused()
    {
        var studio = await CostStudio.Make(service);
        var bill = (await studio.Studio.Technician.Get($"{studio.Path}/firings/{await studio.Unloaded()}/bill")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(JsonValueKind.Null, bill.GetProperty("revision").ValueKind);
        Assert.Equal("energy.not-metered", (await studio.Studio.Technician.Get($"{studio.Path}/firings/{await studio.Accepting()}/bill.csv"))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    // The firing before held four pieces of two: likely are a quarter of 1978 (494 or 495) and half of the wear, 225. Of 80 kWh, 2496, a quarter are 624: +129
    // or +130. It became two pieces: half of 2496, +624.
    [Fact]
    public async Task A_bill_explains_how_it_differs_from_what_was_quoted_at_booking()
    {
        var studio = await CostStudio.Make(service);
        await studio.Settled();
        var firing = await studio.Accepting();
        var (mine, others) = (await studio.Piece(studio.Studio.Potter), await studio.Piece(studio.Studio.OtherPotter));
        (await studio.Studio.Potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = mine } } }))
            .Expect(HttpStatusCode.Created);
        await studio.Fire(firing, [mine, others], 80);
        (await studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/settlement")).Expect(HttpStatusCode.Created);
        var lines = (await studio.Studio.Technician.Get($"{studio.Path}/firings/{firing}/bill")).Expect(HttpStatusCode.OK).Body.GetProperty("lines")
            .EnumerateArray().ToList();
        var quote = lines.Single(l => l.GetProperty("name").GetString() == "Mira").GetProperty("quote");
        var likely = quote.GetProperty("quoted").GetProperty("likelyMinor").GetInt64();
        Assert.InRange(likely, 719, 720);
        Assert.Equal(1473 - likely, quote.GetProperty("differenceMinor").GetInt64());
        var steps = quote.GetProperty("steps").EnumerateArray().Select(s => (s.GetProperty("cause").GetString(), s.GetProperty("amountMinor").GetInt64()))
            .ToList();
        Assert.Equal([("energy", 624 + 225 - likely), ("load", 624L)], steps);
        Assert.NotEmpty(await studio.Studio.Technician.Bytes($"{studio.Path}/firings/{firing}/bill.pdf"));
        Assert.Equal(JsonValueKind.Null, lines.Single(l => l.GetProperty("name").GetString() == "Jonas").GetProperty("quote").ValueKind);
    }

    [Fact]
    public async Task A_year_adds_up_by_month_and_kiln()
    {
        var studio = await CostStudio.Make(service);
        await studio.Settled();
        var second = await studio.Settled(10);
        (await studio.Studio.Technician.Post($"{studio.Path}/firings/{second}/settlement/corrections", new { energyKwh = 20, reason = "misread" }))
            .Expect(HttpStatusCode.Created);
        await studio.Pay(studio.Studio.PotterId, "payment", 700);
        await studio.Pay(studio.Studio.PotterId, "charge", 300);
        // 20 kWh at 0.312 are 624.
        var year = (await studio.Studio.Technician.Get($"{studio.Path}/firings/{second}/settlement")).Body.GetProperty("settledAt").GetDateTimeOffset().Year;
        var answer = await Year(studio, year);
        var (whole, kiln) = (answer.GetProperty("whole"), Assert.Single(answer.GetProperty("kilns").EnumerateArray()));
        Assert.Equal((2428 + 624 + 450, 0, 300, 700, 2),
            (Sum("chargedMinor"), Sum("studioMinor") + 300, Sum("adjustedMinor"), Sum("receivedMinor"), whole.GetProperty("firings").GetInt32()));
        Assert.Equal((2, 83.4m, 2428 + 624 + 450L),
            (kiln.GetProperty("firings").GetInt32(), kiln.GetProperty("energyKwh").GetDecimal(), kiln.GetProperty("costMinor").GetInt64()));
        Assert.Equal(await studio.Balance(studio.Studio.PotterId) + await studio.Balance(studio.OtherPotterId), answer.GetProperty("owedAtEndMinor")
            .GetInt64());
        Assert.Equal(Sum("chargedMinor"), answer.GetProperty("months").EnumerateArray().Sum(m => m.GetProperty("chargedMinor").GetInt64()));
        var rows = CsvReading.Rows((await studio.Studio.Technician.Get($"{studio.Path}/years/{year}.csv")).Expect(HttpStatusCode.OK).Text);
        Assert.Equal(1 + 12 + 1 + 1, rows.Count);
        Assert.Equal("%PDF-", System.Text.Encoding.ASCII.GetString(await studio.Studio.Technician.Bytes($"{studio.Path}/years/{year}.pdf"), 0, 5));
        (await studio.Studio.Potter.Get($"{studio.Path}/years/{year}")).Expect(HttpStatusCode.Forbidden);
        (await studio.Studio.Owner.Get($"{studio.Path}/years/1999")).Expect(HttpStatusCode.BadRequest);

        long Sum(string name) => whole.GetProperty(name).GetInt64();
    }

    private static async Task<JsonElement> Year(CostStudio studio, int year) =>
        (await studio.Studio.Technician.Get($"{studio.Path}/years/{year}")).Expect(HttpStatusCode.OK).Body;
}
