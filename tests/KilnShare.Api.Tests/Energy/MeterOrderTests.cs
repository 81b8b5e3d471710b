using System.Net;
using KilnShare.Api.Tests.Common;
using KilnShare.Core.Energy;

namespace KilnShare.Api.Tests.Energy;

/// <summary>A register never falls from one reading to the next, also where two are written at once, and a wrong reading can be struck.</summary>
public sealed class MeterOrderTests(Service service) : IClassFixture<Service>
{
    private static readonly DateTimeOffset Start = new(2026, 10, 5, 18, 0, 0, TimeSpan.Zero);

    [Fact]
    public async Task Of_two_readings_at_once_that_fall_one_is_refused()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        for (var round = 0; round < Races.Tries; round++)
        {
            var path = $"{studio.Path}/firings/{await studio.MakeFiring(kiln, round * 11)}/meter-readings";
            var shared = round % 2 == 1;
            var meter = $"meter {round}";
            var replies = await Races.AtOnce(
                () => studio.Technician.Post(path, new { readAt = At(1), registerKwh = 100, meter, shared }),
                () => studio.Technician.Post(path, new { readAt = At(2), registerKwh = 90, meter, shared }),
                () => studio.Technician.Post(path, new { readAt = At(3), registerKwh = 80, meter, shared }));
            Assert.True(replies.Count(r => r.Status == HttpStatusCode.Created) == 1, string.Join("\n", replies.Select(r => r.Text)));
            Assert.All(replies.Where(r => r.Status != HttpStatusCode.Created), r => Assert.Equal("energy.register-fell", r.Code));
        }
    }

    [Fact]
    public async Task A_struck_reading_counts_nowhere_and_is_still_shown_with_who_why_and_when()
    {
        var studio = await service.MakeStudio();
        var firing = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln(), 7)}";
        foreach (var (hour, kwh) in ((int, decimal)[])[(0, 100), (6, 150)]) (await Read(studio, firing, hour, kwh)).Expect(HttpStatusCode.Created);
        var wrong = TestStudio.IdOf(await Read(studio, firing, 7, 950));
        Assert.Equal(850m, await Energy(studio, firing));
        var strike = $"{firing}/meter-readings/{wrong}/strike";
        (await studio.Potter.Post(strike, new { reason = "mine" })).Expect(HttpStatusCode.Forbidden);
        (await studio.Technician.Post(strike, new { reason = "" })).Expect(HttpStatusCode.BadRequest);
        (await studio.Technician.Post(strike, new { reason = "a 1 was read as a 9" })).Expect(HttpStatusCode.OK);
        Assert.Equal(50m, await Energy(studio, firing));
        var again = (await studio.Owner.Post(strike, new { reason = "another reason" })).Expect(HttpStatusCode.OK).Body.GetProperty("struck");
        Assert.Equal("a 1 was read as a 9", again.GetProperty("reason").GetString());
        var listed = (await studio.Viewer.Get(firing + "/meter-readings")).Body.GetProperty("items");
        Assert.Equal(3, listed.GetArrayLength());
        Assert.True(listed[2].GetProperty("struck").TryGetProperty("at", out _));
        Assert.NotEqual(Guid.Empty, listed[2].GetProperty("struck").GetProperty("memberId").GetGuid());
        Assert.False(listed[0].TryGetProperty("struck", out _));

        // The right one stands at the time of the struck one, and one that was forgotten goes between.
        (await Read(studio, firing, 7, 155)).Expect(HttpStatusCode.Created);
        (await Read(studio, firing, 3, 120)).Expect(HttpStatusCode.Created);
        Assert.Equal("energy.register-fell", (await Read(studio, firing, 5, 160)).Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal(55m, await Energy(studio, firing));
    }

    [Fact]
    public async Task Striking_leaves_no_fall_behind_and_ends_one_that_is_there()
    {
        var studio = await service.MakeStudio();
        var firing = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln(), 7)}";
        (await Read(studio, firing, 0, 100)).Expect(HttpStatusCode.Created);
        var exchange = TestStudio.IdOf(
            await studio.Technician.Post(firing + "/meter-readings", new { readAt = At(3), registerKwh = 120, @event = "exchange", newRegisterKwh = 5 }));
        (await Read(studio, firing, 6, 40)).Expect(HttpStatusCode.Created);
        Assert.Equal("energy.strike-leaves-fall", (await studio.Technician.Post(
            $"{firing}/meter-readings/{exchange}/strike", new { reason = "there was no exchange" })).Expect(HttpStatusCode.Conflict).Code);

        // As two readings at once could leave it before the database held their order.
        await Bookings.VersionHistory.Run(service.Links.Admin, "alter table meter_reading disable trigger meter_written");
        var fell = Guid.NewGuid();
        await Bookings.VersionHistory.Run(
            service.Links.Admin,
            $"insert into meter_reading (studio_id, id, firing_id, read_at, register_kwh, event, meter, is_shared, member_id) select studio_id, '{fell}', "
                + $"firing_id, read_at + interval '1 hour', 20, 'None', meter, is_shared, member_id from meter_reading where register_kwh = 40 and studio_id "
                + $"= '{studio.Id}'");
        await Bookings.VersionHistory.Run(service.Links.Admin, "alter table meter_reading enable trigger meter_written");
        Assert.Equal("energy.register-fell", (await studio.Viewer.Get(firing + "/energy")).Expect(HttpStatusCode.UnprocessableEntity).Code);
        (await studio.Technician.Post($"{firing}/meter-readings/{fell}/strike", new { reason = "read from the neighbour's meter" })).Expect(HttpStatusCode.OK);
        Assert.Equal(55m, await Energy(studio, firing));
    }

    [Fact]
    public async Task A_firing_whose_readings_fell_can_be_settled_once_the_wrong_one_is_struck()
    {
        var place = await Bookings.Place.Make(service);
        var (studio, firing, piece) = (place.Studio, place.Firing, await place.Piece());
        (await place.Book(piece)).Expect(HttpStatusCode.Created);
        (await place.Move("fixed")).Expect(HttpStatusCode.OK);
        (await place.Load(piece)).Expect(HttpStatusCode.OK);
        (await Read(studio, firing, 0, 100)).Expect(HttpStatusCode.Created);
        var wrong = TestStudio.IdOf(await Read(studio, firing, 1, 500));
        await studio.Technician.Post($"{firing}/meter-readings/{wrong}/strike", new { reason = "misread" });
        (await Read(studio, firing, 9, 163)).Expect(HttpStatusCode.Created);
        Assert.Equal(63m, (await studio.Technician.Get(firing + "/cost-split")).Expect(HttpStatusCode.OK).Body.GetProperty("energyKwh").GetDecimal());
    }

    /// <summary>The service may strike a reading, once; what was read it cannot change.</summary>
    [Fact]
    public async Task What_was_read_stays_as_it_was_read()
    {
        var studio = await service.MakeStudio();
        var firing = $"{studio.Path}/firings/{await studio.MakeFiring(await studio.MakeKiln(), 7)}";
        var reading = TestStudio.IdOf(await Read(studio, firing, 0, 100));
        var enter = $"select set_config('kilnshare.studio', '{studio.Id}', false); ";
        Assert.Equal("42501", (await Assert.ThrowsAsync<Npgsql.PostgresException>(
            () => Bookings.VersionHistory.Run(service.Links.App, enter + "update meter_reading set register_kwh = 1"))).SqlState);
        (await studio.Technician.Post($"{firing}/meter-readings/{reading}/strike", new { reason = "misread" })).Expect(HttpStatusCode.OK);
        var refused = await Assert.ThrowsAsync<Npgsql.PostgresException>(
            () => Bookings.VersionHistory.Run(service.Links.App, enter + "update meter_reading set struck_at = null, struck_by = null, struck_because = null"));
        Assert.Equal("ck_meter_reading_struck_once", refused.ConstraintName);
    }

    private static string At(int hour) => Start.AddHours(hour).ToString("O");

    private static Task<Reply> Read(TestStudio studio, string firing, int hour, decimal kwh) =>
        studio.Technician.Post(firing + "/meter-readings", new { readAt = At(hour), registerKwh = kwh, meter = MeterEntry.MainMeter });

    private static async Task<decimal> Energy(TestStudio studio, string firing) =>
        (await studio.Viewer.Get(firing + "/energy")).Expect(HttpStatusCode.OK).Body.GetProperty("energyKwh").GetDecimal();
}
