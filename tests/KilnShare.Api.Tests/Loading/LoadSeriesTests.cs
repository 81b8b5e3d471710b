using System.Net;
using System.Text.Json.Nodes;
using KilnShare.Api.Tests.Common;
using KilnShare.Api.Tests.Document;

namespace KilnShare.Api.Tests.Loading;

public sealed class LoadSeriesTests(Service service) : IClassFixture<Service>, IAsyncLifetime
{
    private const string Path = "/v1/calculations/load-series";
    private Caller viewer = null!;

    public async ValueTask InitializeAsync() => viewer = (await service.MakeStudio()).Viewer;

    public ValueTask DisposeAsync() => ValueTask.CompletedTask;

    // Two plates of 300 mm side by side ask for a shelf of 600 mm: each has one of the two shelves for itself.
    [Fact]
    public async Task Plates_go_into_as_few_loads_as_there_can_be_and_each_load_can_be_drawn()
    {
        var answer = (await viewer.Post(Path, ContractExamples.LoadSeries)).Expect(HttpStatusCode.OK).Body;

        Assert.Equal(("proven", 3, 3),
            (answer.GetProperty("stopped").GetString(), answer.GetProperty("leastLoads").GetInt32(), answer.GetProperty("loads").GetArrayLength()));
        Assert.Equal(0, answer.GetProperty("unplaced").GetArrayLength());
        Assert.Equal(25, answer.GetProperty("loads").EnumerateArray().Sum(l => l.GetProperty("copies").GetInt32()));
        foreach (var load in answer.GetProperty("loads").EnumerateArray())
        {
            var question = JsonNode.Parse(ContractExamples.LoadSeries)!.AsObject();
            question["start"] = new JsonObject
            {
                ["shelves"] = JsonNode.Parse(
                load.GetProperty("shelves").GetRawText()),
                ["posts"] = JsonNode.Parse(load.GetProperty("posts").GetRawText())
            };
            question["keep"] = "all";
            question["search"] = new JsonObject { ["iterations"] = 0 };
            var drawn = (await viewer.Post("/v1/calculations/load-plan/picture", question.ToJsonString())).Expect(HttpStatusCode.OK);
            Assert.StartsWith("<svg", drawn.Text, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task A_search_of_more_than_ten_seconds_is_refused() => Assert.Equal(
        "/search/milliseconds",
        (await viewer.Post(Path, ContractExamples.LoadSeries.Replace("\"iterations\": 400", "\"milliseconds\": 10001", StringComparison.Ordinal)))
            .Expect(HttpStatusCode.UnprocessableEntity).Pointer);

    [Fact]
    public async Task What_is_wrong_with_the_ware_is_said_with_its_place() => Assert.Equal(
        "/pieces/1/heightMm",
        (await viewer.Post(Path, ContractExamples.LoadSeries.Replace("\"heightMm\":110", "\"heightMm\":-110", StringComparison.Ordinal)))
            .Expect(HttpStatusCode.BadRequest).Pointer);
}
