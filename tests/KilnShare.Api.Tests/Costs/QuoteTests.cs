using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Costs;

public sealed class QuoteTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Without_meter_or_plate_there_is_nothing_to_quote_by()
    {
        var studio = await CostStudio.Make(service);
        var refused = await Ask(studio, await studio.Accepting(), await studio.Piece(studio.Studio.Potter));
        Assert.Equal("costs.no-energy-basis", refused.Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    // One firing of 63.4 kWh is metered: 20 % either way. 1978 and wear 450 for one alone: 2428; 50.72 kWh at 0.312 → 1582, 76.08 → 2374.
    [Fact]
    public async Task The_last_metered_firing_of_the_kind_is_the_forecast_and_says_so()
    {
        var studio = await CostStudio.Make(service);
        await studio.Settled();
        var firing = await studio.Accepting();
        var quote = (await Ask(studio, firing, await studio.Piece(studio.Studio.Potter))).Expect(HttpStatusCode.OK).Body;
        Assert.Equal((1582 + 450L, 2428L, 2374 + 450L), Interval(quote));
        Assert.Equal(63.4m, quote.GetProperty("energyKwh").GetDecimal());
        Assert.Contains("63.4 kWh", quote.GetProperty("assumption").GetString(), StringComparison.Ordinal);
        Assert.Equal(1, quote.GetProperty("load").GetProperty("members").GetInt32());
    }

    [Fact]
    public async Task What_others_booked_shares_with_me_and_what_I_booked_is_not_counted_twice()
    {
        var studio = await CostStudio.Make(service);
        await studio.Settled();
        var firing = await studio.Accepting();
        var (mine, others) = (await studio.Piece(studio.Studio.Potter), await studio.Piece(studio.Studio.OtherPotter));
        await Book(studio.Studio.OtherPotter, studio, firing, others);
        var quote = (await Ask(studio, firing, mine)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal((1978 / 2) + 225, Interval(quote).Likely);
        await Book(studio.Studio.Potter, studio, firing, mine);
        var again = (await Ask(studio, firing, mine)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(quote.GetRawText(), again.GetRawText());
        Assert.Equal(2, again.GetProperty("load").GetProperty("pieces").GetInt32());
    }

    [Fact]
    public async Task A_quote_is_met_by_the_settlement_when_the_kiln_takes_what_was_assumed()
    {
        var studio = await CostStudio.Make(service);
        await studio.Settled();
        var open = await studio.Accepting();
        await Book(studio.Studio.OtherPotter, studio, open, await studio.Piece(studio.Studio.OtherPotter));
        var quote = (await Ask(studio, open, await studio.Piece(studio.Studio.Potter, 3))).Expect(HttpStatusCode.OK).Body;
        var settled = await studio.Settled();
        var share = CostStudio.Shares((await studio.Studio.Viewer.Get($"{studio.Path}/firings/{settled}/settlement")).Body.GetProperty("split"))[studio.Studio.PotterId.ToString()];
        Assert.InRange(Interval(quote).Likely, share - 1, share + 1);
    }

    [Fact]
    public async Task Nobody_quotes_for_another_members_ware()
    {
        var studio = await CostStudio.Make(service);
        await studio.Settled();
        var (firing, piece) = (await studio.Accepting(), await studio.Piece(studio.Studio.OtherPotter));
        Assert.Equal("access.not-yours", (await Ask(studio, firing, piece)).Expect(HttpStatusCode.Forbidden).Code);
        Assert.Equal("bookings.no-such-piece", (await Ask(studio, firing, Guid.NewGuid())).Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    private static Task<Reply> Ask(CostStudio studio, Guid firing, Guid piece) =>
        studio.Studio.Potter.Post($"{studio.Path}/firings/{firing}/quotes", new { pieces = new[] { new { pieceId = piece } } }, "");

    private static async Task Book(Caller potter, CostStudio studio, Guid firing, Guid piece)
    {
        var booked = (await potter.Post($"{studio.Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece } } })).Expect(HttpStatusCode.Created);
        Assert.True(booked.Body.GetProperty("state").GetString() == "confirmed", booked.Text);
    }

    private static (long Low, long Likely, long High) Interval(JsonElement quote) =>
        (quote.GetProperty("lowMinor").GetInt64(), quote.GetProperty("likelyMinor").GetInt64(), quote.GetProperty("highMinor").GetInt64());
}
