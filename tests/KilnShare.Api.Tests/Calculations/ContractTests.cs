using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Calculations;

/// <summary>Worked figures of the calculations, as clients were promised them.</summary>
public sealed class ContractTests(Service service) : IClassFixture<Service>, IAsyncLifetime
{
    private const string TwoMugs =
        """
        { "chamber": { "footprint": {"kind":"circle","diameterMm":585}, "heightMm": 685, "wallClearanceMm": 25, "lidClearanceMm": 12 },
          "furniture": { "shelves": [ {"id":"full","footprint":{"kind":"circle","diameterMm":533},"thicknessMm":19,"count":4},
                                      {"id":"half","footprint":{"kind":"halfCircle","diameterMm":533},"thicknessMm":19,"count":4} ],
            "postHeights": "stock",
            "posts": [ {"heightMm":25,"count":9}, {"heightMm":50,"count":9}, {"heightMm":100,"count":12}, {"heightMm":150,"count":12} ],
            "postDiameterMm": 38, "postInsetMm": 25 },
          "spacing": { "gapMm": 6, "headroomMm": 12, "shelfGapMm": 3 },
          "pieces": [ {"id":"mug","footprint":{"kind":"circle","diameterMm":90},"heightMm":110,"massG":380,"quantity":2,"priority":1} ],
          "keepOuts": [ {"footprint":{"kind":"circle","diameterMm":50},"xMm":250,"yMm":0,"fromMm":300,"toMm":380} ],
          "start": null, "keep": "none", "pinned": [], "search": { "milliseconds": 500, "seed": 1 } }
        """;

    private Caller viewer = null!;

    public async ValueTask InitializeAsync() => viewer = (await service.MakeStudio()).Viewer;

    public ValueTask DisposeAsync() => ValueTask.CompletedTask;

    [Fact]
    public async Task Two_mugs_stand_on_one_shelf_on_three_short_posts()
    {
        var plan = (await viewer.Post("/v1/calculations/load-plan", TwoMugs)).Expect(HttpStatusCode.OK).Body;
        var shelf = Assert.Single(plan.GetProperty("shelves").EnumerateArray());
        Assert.Equal(44, shelf.GetProperty("topMm").GetDecimal());
        Assert.Equal(629, shelf.GetProperty("clearAboveMm").GetDecimal());
        Assert.Equal(0.057m, shelf.GetProperty("areaUse").GetDecimal());
        Assert.Equal(154, plan.GetProperty("topMm").GetDecimal());
        Assert.Equal("proven", plan.GetProperty("stopped").GetString());
        Assert.Equal(2, plan.GetProperty("placedWeight").GetDecimal());
        Assert.All(plan.GetProperty("posts").EnumerateArray(), post =>
            Assert.Equal([25m], post.GetProperty("heightsMm").EnumerateArray().Select(h => h.GetDecimal())));
        Assert.Equal(3, plan.GetProperty("posts").GetArrayLength());
        var advice = plan.GetProperty("advice");
        Assert.Equal(2, advice.GetProperty("order").GetArrayLength());
        Assert.Equal(3, Assert.Single(advice.GetProperty("posts").EnumerateArray()).GetProperty("count").GetInt32());
        Assert.Equal(760, advice.GetProperty("wareMassG").GetDecimal());
        Assert.Equal(44 + 55, advice.GetProperty("centreOfMass").GetProperty("zMm").GetDecimal());
        Assert.Equal(0, advice.GetProperty("findings").GetArrayLength());
    }

    [Fact]
    public async Task What_would_have_to_go_is_said_where_it_is_asked()
    {
        // Seven discs fill a round shelf of three diameters (closed form); the eighth, of least weight, stays out unless one goes.
        const string Full =
            """
            { "chamber": { "footprint": {"kind":"circle","diameterMm":300.05}, "heightMm": 100, "wallClearanceMm": 0, "lidClearanceMm": 0 },
              "furniture": { "shelves": [ {"id":"s","footprint":{"kind":"circle","diameterMm":300.05},"thicknessMm":10,"count":1} ], "postHeights": "any",
               "posts": [], "postDiameterMm": 0, "postInsetMm": 1 },
              "spacing": { "gapMm": 0, "headroomMm": 0, "shelfGapMm": 0 },
              "pieces": [ {"id":"seven","footprint":{"kind":"circle","diameterMm":100},"heightMm":50,"quantity":7,"priority":2}, {"id":"new",
               "footprint":{"kind":"circle","diameterMm":100},"heightMm":50} ],
              "makeRoomFor": ["new"], "search": { "iterations": 30 } }
            """;
        var answer = (await viewer.Post("/v1/calculations/load-plan", Full)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("new", Assert.Single(answer.GetProperty("unplaced").EnumerateArray()).GetProperty("pieceId").GetString());
        Assert.Equal("seven", Assert.Single(answer.GetProperty("makeRoom").GetProperty("leaving").EnumerateArray()).GetProperty("pieceId").GetString());
        Assert.Equal(2, answer.GetProperty("makeRoom").GetProperty("weight").GetDecimal());
        Assert.Equal("/makeRoomFor/0", (await viewer.Post("/v1/calculations/load-plan", Full.Replace("[\"new\"]", "[\"gone\"]", StringComparison.Ordinal)))
            .Expect(HttpStatusCode.BadRequest).Pointer);
    }

    [Fact]
    public async Task A_plan_is_shared_out_for_hands_unless_it_is_asked_not_to_be()
    {
        var nine = TwoMugs.Replace("\"milliseconds\": 500", "\"iterations\": 50", StringComparison.Ordinal)
            .Replace("\"quantity\":2", "\"quantity\":9", StringComparison.Ordinal);
        var close = nine.Replace("\"seed\": 1", "\"seed\": 1, \"spread\": false", StringComparison.Ordinal);
        decimal OffBy(string plan) => Assert.Single(System.Text.Json.JsonDocument.Parse(plan).RootElement.GetProperty("shelves").EnumerateArray())
            .GetProperty("handsMayBeOffMm").GetDecimal();

        var (wide, tight) = ((await viewer.Post("/v1/calculations/load-plan", nine))
            .Expect(HttpStatusCode.OK), (await viewer.Post("/v1/calculations/load-plan", close)).Expect(HttpStatusCode.OK));

        Assert.True(OffBy(wide.Text) > OffBy(tight.Text) + 5, $"{OffBy(wide.Text)} mm against {OffBy(tight.Text)} mm");
        foreach (var same in new[] { "posts", "topMm", "placedWeight", "iterations" })
            Assert.Equal(tight.Body.GetProperty(same).GetRawText(), wide.Body.GetProperty(same).GetRawText());
        // A plan that is kept stays as it is.
        var kept = nine.Replace("\"start\": null, \"keep\": \"none\"", $"\"start\": {tight.Text}, \"keep\": \"all\"", StringComparison.Ordinal);
        Assert.Equal(OffBy(tight.Text), OffBy((await viewer.Post("/v1/calculations/load-plan", kept)).Expect(HttpStatusCode.OK).Text));
    }

    [Fact]
    public async Task An_answer_can_be_the_start_of_the_next_question()
    {
        var two = TwoMugs.Replace("\"milliseconds\": 500", "\"iterations\": 50", StringComparison.Ordinal);
        var plan = (await viewer.Post("/v1/calculations/load-plan", two)).Expect(HttpStatusCode.OK).Text;
        var next = two.Replace("\"start\": null, \"keep\": \"none\"", $"\"start\": {plan}, \"keep\": \"all\"", StringComparison.Ordinal)
            .Replace("\"quantity\":2", "\"quantity\":3", StringComparison.Ordinal);
        var answer = (await viewer.Post("/v1/calculations/load-plan", next)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(3, answer.GetProperty("placedWeight").GetDecimal());
    }

    [Fact]
    public async Task The_same_iterations_and_seed_give_the_same_plan()
    {
        var body = TwoMugs.Replace("\"milliseconds\": 500", "\"iterations\": 50", StringComparison.Ordinal)
            .Replace("\"quantity\":2", "\"quantity\":30", StringComparison.Ordinal);
        var answers = new[] { await viewer.Post("/v1/calculations/load-plan", body), await viewer.Post("/v1/calculations/load-plan", body) };
        Assert.Equal(answers[0].Body.GetProperty("shelves").GetRawText(), answers[1].Body.GetProperty("shelves").GetRawText());
    }

    [Fact]
    public async Task A_search_of_more_than_ten_seconds_is_refused() => Assert.Equal(
        "/search/milliseconds",
        (await viewer.Post("/v1/calculations/load-plan", TwoMugs.Replace("\"milliseconds\": 500", "\"milliseconds\": 10001", StringComparison.Ordinal)))
            .Expect(HttpStatusCode.UnprocessableEntity).Pointer);

    [Fact]
    public async Task A_food_piece_whose_glaze_is_a_little_above_its_body_needs_accepts()
    {
        const string Body =
            """
            { "firing": {"kind":"glaze","cone":"6","series":"selfSupporting","atmosphere":"oxidation"},
              "pieces": [ {"id":"p1","stage":"bisque","bisquedAt":"04","forFood":true,"bareFootMm":6,"onCatcher":false,
                "clay": {"name":"grey stoneware","cones":{"from":"5","to":"7"},"bisqueCones":{"from":"08","to":"04"},"atmospheres":["oxidation","reduction"],
                 "expansionPpmPerC":5.4,"expansionMethod":"dilatometer 20-500 C","absorptionPercent":2.0},
                "layers": [ {"glaze":{"name":"tin white","kind":"glaze","cones":{"from":"5","to":"6"},"atmospheres":["oxidation"],"expansionPpmPerC":6.2,
                 "expansionMethod":"dilatometer 20-500 C","contains":[{"what":"tin","percent":6}],"movement":"stable"},"coats":2,"where":"outside",
                 "firedAt":null} ] } ] }
            """;
        var answer = (await viewer.Post("/v1/calculations/co-firing-check", Body)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(("compatible", "needsAccepts"), (answer.GetProperty("verdict").GetString(), answer.GetProperty("gate").GetString()));
        var piece = Assert.Single(answer.GetProperty("pieces").EnumerateArray());
        Assert.Equal(("compatible", "caution", "unknown"),
            (piece.GetProperty("verdict").GetString(), piece.GetProperty("self").GetString(), piece.GetProperty("use").GetString()));
        Assert.Equal(["glaze-body-expansion", "food-release-not-measured"], piece.GetProperty("findings").EnumerateArray()
            .Select(f => f.GetProperty("rule").GetString()), StringComparer.Ordinal);
        Assert.Equal(-0.8m, piece.GetProperty("findings")[0].GetProperty("values").GetProperty("bodyMinusGlazePpmPerC").GetDecimal());
        Assert.Equal(("5", "6"),
            (answer.GetProperty("coneWindow").GetProperty("from").GetString(), answer.GetProperty("coneWindow").GetProperty("to").GetString()));
    }

    [Fact]
    public async Task A_load_of_no_pieces_is_malformed() => Assert.Equal(
        "/pieces", (await viewer.Post("/v1/calculations/co-firing-check", """{"firing":{"kind":"glaze","cone":"6"},"pieces":[]}"""))
            .Expect(HttpStatusCode.BadRequest).Pointer);

    [Fact]
    public async Task A_cost_is_divided_part_by_part()
    {
        const string Body =
            """
            { "currency":"EUR", "tieSeed":"",
              "parts":[ {"name":"energy","amountMinor":2750,"basis":"volume"}, {"name":"wear","amountMinor":500,"basis":"equal"}, {"name":"stilts",
               "amountMinor":200,"basis":"direct","to":"a"} ],
              "members":[ {"id":"a","pieces":3,"footprintCm2":240,"volumeCm3":9600,"massG":2100,"ownHeatKwh":2.314,"levelHeightsMm":[120,0,85]},
                          {"id":"b","pieces":2,"footprintCm2":90,"volumeCm3":3600,"massG":900,"ownHeatKwh":0.9,"levelHeightsMm":[0,110,85]} ],
              "minimumMinor": 0, "unusedSpace":"spread" }
            """;
        const string Answer =
            """
            [{"id":"a","amountMinor":2450,"parts":[{"name":"energy","amountMinor":2000},{"name":"wear","amountMinor":250},{"name":"stilts","amountMinor":200}]},{"id":"b","amountMinor":1000,"parts":[{"name":"energy","amountMinor":750},{"name":"wear","amountMinor":250}]}]
            """;
        var split = (await viewer.Post("/v1/calculations/cost-split", Body)).Expect(HttpStatusCode.OK).Body;
        Assert.Equal(Answer.Trim(), JsonSerializer.Serialize(split.GetProperty("shares")));
        Assert.Equal(3450, split.GetProperty("totalMinor").GetInt64());
    }

    [Fact]
    public async Task Cone_6_at_100_C_an_hour_is_interpolated()
    {
        var table = (await viewer.Get("/v1/cones?series=selfSupporting&rateCPerHour=100")).Expect(HttpStatusCode.OK).Body;
        var six = table.GetProperty("cones").EnumerateArray().Single(c => c.GetProperty("cone").GetString() == "6");
        Assert.Equal((1233.7m, 2252.7m, "interpolated"),
            (six.GetProperty("celsius").GetDecimal(), six.GetProperty("fahrenheit").GetDecimal(), six.GetProperty("basis").GetString()));
        Assert.Equal("2016", table.GetProperty("edition").GetString());
    }

    [Theory]
    [InlineData("load-plan", "\"heightMm\":110", "\"heightMm\":-110", "/pieces/0/heightMm")]
    [InlineData("load-plan", "\"heightMm\":110", "\"heightMm\":110.0001", "/pieces/0/heightMm")]
    [InlineData("load-plan", "\"heightMm\":110", "\"heightMm\":1e400", "/pieces/0/heightMm")]
    [InlineData("load-plan", "\"heightMm\":110", "\"heightMm\":\"NaN\"", "/pieces/0/heightMm")]
    [InlineData("load-plan", "\"heightMm\":110", "\"heightMm\":110,\"colour\":1", "/pieces/0/colour")]
    [InlineData("load-plan", "\"heightMm\":110", "\"heightMm\":110,\"heightMm\":110", "/pieces/0/heightMm")]
    [InlineData("load-plan", "\"kind\":\"circle\",\"diameterMm\":90", "\"kind\":\"blob\",\"diameterMm\":90", "/pieces/0/footprint/kind")]
    [InlineData("load-plan", "\"kind\":\"circle\",\"diameterMm\":90", "\"kind\":\"rectangle\",\"diameterMm\":90", "/pieces/0/footprint/diameterMm")]
    public async Task Nonsense_is_refused_at_the_field_it_stands_in(string call, string good, string bad, string pointer)
    {
        var reply = (await viewer.Post("/v1/calculations/" + call, TwoMugs.Replace(good, bad, StringComparison.Ordinal))).Expect(HttpStatusCode.BadRequest);
        Assert.Equal(pointer, reply.Pointer);
        Assert.NotNull(reply.Code);
        Assert.StartsWith("application/problem+json", reply.ContentType, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("0")]
    [InlineData("6b")]
    [InlineData("")]
    public async Task There_is_no_such_cone(string cone)
    {
        var reply = (await viewer.Post("/v1/calculations/co-firing-check", $$"""{"firing":{"kind":"glaze","cone":"{{cone}}"},"pieces":[]}"""))
            .Expect(HttpStatusCode.BadRequest);
        Assert.Equal(("cones.unknown", "/firing/cone"), (reply.Code, reply.Pointer));
    }
}
