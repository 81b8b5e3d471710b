using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Energy;

public sealed class MeteringTests(Service service) : IClassFixture<Service>
{
    private static readonly DateTimeOffset Start = new(2026, 10, 5, 18, 0, 0, TimeSpan.Zero);

    [Fact]
    public async Task Energy_is_told_for_any_interval_and_says_where_it_is_filled_in()
    {
        var studio = await service.MakeStudio();
        var firing = await Firing(studio, await studio.MakeKiln());
        foreach (var (hour, kwh) in ((int, decimal)[])[(0, 100), (4, 120), (6, 150)]) (await Read(studio, firing, hour, kwh)).Expect(HttpStatusCode.Created);
        var whole = await Energy(studio, firing);
        Assert.Equal((50m, false, "meter"),
            (whole.GetProperty("energyKwh").GetDecimal(), whole.GetProperty("interpolated").GetBoolean(), whole.GetProperty("basis").GetString()));
        // From 21:00, an hour of 5 kW, to 23:00, an hour of 15 kW.
        var part = await Energy(studio, firing, "?from=2026-10-05T21:00:00Z&to=2026-10-05T23:00:00Z");
        Assert.Equal((20m, true), (part.GetProperty("energyKwh").GetDecimal(), part.GetProperty("interpolated").GetBoolean()));
        Assert.Equal(30m, (await Energy(studio, firing, "?from=2026-10-05T22:00:00Z")).GetProperty("energyKwh").GetDecimal());
        var outside = (await studio.Viewer.Get($"{studio.Path}/firings/{firing}/energy?from=2026-10-05T17:00:00Z")).Expect(HttpStatusCode.UnprocessableEntity);
        Assert.Equal("energy.interval-not-metered", outside.Code);
        Assert.Equal("/from", (await studio.Viewer.Get($"{studio.Path}/firings/{firing}/energy?from=yesterday")).Expect(HttpStatusCode.BadRequest).Pointer);
    }

    [Fact]
    public async Task A_register_may_roll_over_or_be_exchanged_where_the_reading_says_so()
    {
        var studio = await service.MakeStudio();
        var firing = await Firing(studio, await studio.MakeKiln());
        (await Read(studio, firing, 0, 99_990)).Expect(HttpStatusCode.Created);
        Assert.Equal("energy.register-fell", (await Read(studio, firing, 4, 10)).Expect(HttpStatusCode.UnprocessableEntity).Code);
        (await Post(studio, firing, new { readAt = At(4), registerKwh = 10, @event = "rollover", rollsOverAtKwh = 100_000 })).Expect(HttpStatusCode.Created);
        (await Post(studio, firing, new { readAt = At(5), registerKwh = 15, @event = "exchange", newRegisterKwh = 3 })).Expect(HttpStatusCode.Created);
        (await Read(studio, firing, 8, 40)).Expect(HttpStatusCode.Created);
        // 20 to the rollover's reading, 5 to the exchange, 37 on the new meter.
        Assert.Equal(62m, (await Energy(studio, firing)).GetProperty("energyKwh").GetDecimal());
    }

    [Fact]
    public async Task Sub_meters_add_up_and_gas_counts_by_its_calorific_value()
    {
        var studio = await service.MakeStudio();
        var firing = await Firing(studio, await studio.MakeKiln());
        foreach (var (meter, hour, kwh) in ((string, int, decimal)[])[("left bank", 0, 10), ("right bank", 0, 700), ("left bank", 6, 34),
            ("right bank", 6, 720.5m)])
            (await Post(studio, firing, new { readAt = At(hour), registerKwh = kwh, meter })).Expect(HttpStatusCode.Created);
        Assert.Equal(44.5m, (await Energy(studio, firing)).GetProperty("energyKwh").GetDecimal());
        var gas = await Firing(studio, await studio.MakeKiln());
        foreach (var (hour, m3) in ((int, decimal)[])[(0, 4100.25m), (9, 4124.25m)])
            (await Post(studio, gas, new { readAt = At(hour), registerKwh = m3, meter = "gas", kwhPerUnit = 10.5 })).Expect(HttpStatusCode.Created);
        Assert.Equal(24 * 10.5m, (await Energy(studio, gas)).GetProperty("energyKwh").GetDecimal());
    }

    [Fact]
    public async Task Without_a_meter_energy_is_written_down_by_hand_and_shared_by_it()
    {
        var studio = await service.MakeStudio();
        var firing = await Firing(studio, await studio.MakeKiln());
        var path = $"{studio.Path}/firings/{firing}/unmetered-energy";
        // 11.52 × (7 × 0.15 + 9 × 0.50) = 63.936 kWh (derived from published duties and power).
        (await studio.Technician.Put(path, new { ratedKw = 11.52, duty = new[] { new { hours = 7, dutyPercent = 15 }, new { hours = 9, dutyPercent = 50 } } }))
            .Expect(HttpStatusCode.OK);
        var duty = await Energy(studio, firing);
        Assert.Equal((63.936m, true, "duty"),
            (duty.GetProperty("energyKwh").GetDecimal(), duty.GetProperty("interpolated").GetBoolean(), duty.GetProperty("basis").GetString()));
        // Trapezes: 2 h of (2 + 6) / 2 and 1 h of (6 + 0) / 2; two hours between samples are a hole that is filled in.
        (await studio.Technician.Put(path, new { powerSamples = new[] { Sample(0, 2), Sample(2, 6), Sample(3, 0) } })).Expect(HttpStatusCode.OK);
        var samples = await Energy(studio, firing);
        Assert.Equal((11m, true, "powerSamples"),
            (samples.GetProperty("energyKwh").GetDecimal(), samples.GetProperty("interpolated").GetBoolean(), samples.GetProperty("basis").GetString()));
        (await studio.Technician.Put(path, new { gasM3 = 12, kwhPerM3 = 10.4 })).Expect(HttpStatusCode.OK);
        Assert.Equal(124.8m, (await Energy(studio, firing)).GetProperty("energyKwh").GetDecimal());
        var piece = await studio.MakePiece(studio.Potter, await studio.MakeClay(), await studio.MakeGlaze());
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/load",
            new { placed = new[] { new { pieceId = piece } }, leftBehind = Array.Empty<object>() })).Expect(HttpStatusCode.OK);
        Assert.Equal(124.8m, (await studio.Technician.Get($"{studio.Path}/firings/{firing}/cost-split")).Expect(HttpStatusCode.OK).Body.GetProperty("energyKwh")
            .GetDecimal());
        (await Read(studio, firing, 0, 1)).Expect(HttpStatusCode.Created);
        Assert.Equal("energy.metered-already", (await studio.Technician.Put(path, new { gasM3 = 12, kwhPerM3 = 10.4 }))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    [Theory]
    [InlineData("""{}""")]
    [InlineData("""{"ratedKw":11.5}""")]
    [InlineData("""{"gasM3":12}""")]
    [InlineData("""{"powerSamples":[{"at":"2026-10-05T18:00:00Z","kw":2}]}""")]
    [InlineData("""{"powerSamples":[{"at":"2026-10-05T18:00:00Z","kw":2},{"at":"2026-10-05T18:00:00Z","kw":3}]}""")]
    [InlineData("""{"ratedKw":11.5,"duty":[{"hours":7,"dutyPercent":15}],"gasM3":12,"kwhPerM3":10}""")]
    [InlineData("""{"ratedKw":11.5,"duty":[{"hours":7,"dutyPercent":101}]}""")]
    public async Task What_says_nothing_clear_by_hand_is_refused(string body)
    {
        var studio = await service.MakeStudio();
        (await studio.Technician.Put($"{studio.Path}/firings/{await Firing(studio, await studio.MakeKiln())}/unmetered-energy", body))
            .Expect(HttpStatusCode.BadRequest);
    }

    [Fact]
    public async Task A_meter_that_two_kilns_share_is_split_by_the_shape_of_their_forecasts()
    {
        var studio = await service.MakeStudio();
        var brick = new[] { new { material = "firebrick23", thicknessMm = 76 } };
        var schedule = await Schedule(studio);
        var (large, small) = (await Firing(
            studio, await studio.MakeKiln(11.5m, brick), schedule), await Firing(studio, await studio.MakeKiln(11.5m, brick), schedule));
        foreach (var (firing, hour, kwh) in ((Guid, int, decimal)[])[(large, 0, 1000), (small, 1, 1003), (small, 8, 1071), (large, 11, 1100)])
            (await Post(studio, firing, new { readAt = At(hour), registerKwh = kwh, meter = "kiln room", shared = true })).Expect(HttpStatusCode.Created);
        var (first, second) = (await Energy(studio, large), await Energy(studio, small));
        Assert.Equal(("sharedMeter", true), (first.GetProperty("basis").GetString(), first.GetProperty("interpolated").GetBoolean()));
        // Both follow one schedule in alike kilns from one hour on: halves while both were read, all to the one that was read alone.
        Assert.InRange(second.GetProperty("energyKwh").GetDecimal(), 33.99m, 34.01m);
        Assert.InRange(first.GetProperty("energyKwh").GetDecimal(), 34m + (3 / 2m) + 0.5m, 66);
        Assert.Equal("energy.shared-or-not", (await Post(studio, large, new { readAt = At(12), registerKwh = 1, meter = "kiln room" }))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
    }

    private static async Task<Guid> Schedule(TestStudio studio) => TestStudio.IdOf(await studio.Technician.Post(
        studio.Path + "/schedules", new { name = "glaze", startC = 20, segments = new[] { new { rateCPerHour = 120, toC = 1222, holdMinutes = 10 } } }));

    private static Task<Guid> Firing(TestStudio studio, Guid kiln, Guid? schedule = null) => studio.MakePastFiring(kiln, Start, "6", schedule);

    private static string At(int hour) => Start.AddHours(hour).ToString("O");

    private static object Sample(int hour, decimal kw) => new { at = At(hour), kw };

    private static Task<Reply> Read(TestStudio studio, Guid firing, int hour, decimal kwh) =>
        Post(studio, firing, new { readAt = At(hour), registerKwh = kwh });

    private static Task<Reply> Post(TestStudio studio, Guid firing, object reading) =>
        studio.Technician.Post($"{studio.Path}/firings/{firing}/meter-readings", reading);

    private static async Task<System.Text.Json.JsonElement> Energy(TestStudio studio, Guid firing, string query = "") =>
        (await studio.Viewer.Get($"{studio.Path}/firings/{firing}/energy{query}")).Expect(HttpStatusCode.OK).Body;
}
