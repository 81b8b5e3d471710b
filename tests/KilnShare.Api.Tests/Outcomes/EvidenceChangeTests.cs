using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Outcomes;

/// <summary>Which recipes come out otherwise since something changed.</summary>
public sealed class EvidenceChangeTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task A_new_batch_that_crazes_and_the_new_elements_of_the_same_day_are_found_with_the_firings_they_rest_on()
    {
        var fired = await FiredStudio.Open(service);
        Assert.StartsWith("No change has two firings", (await Ask(fired)).GetProperty("sentence").GetString(), StringComparison.Ordinal);
        for (var i = 0; i < 5; i++) await fired.Judge(await fired.Fire([await fired.Piece($"A{i}", quantity: 2, batch: "bucket 3")]));
        var elements = Firings(FiredStudio.FirstDay + 15).AddHours(-12);
        (await fired.Studio.Technician.Post($"{fired.Studio.Path}/kilns/{fired.Kiln}/upkeep", new { kind = "elementsReplaced", at = elements.ToString("O") }))
            .Expect(HttpStatusCode.Created);
        for (var i = 0; i < 5; i++) await fired.Judge(await fired.Fire([await fired.Piece($"B{i}", quantity: 1, batch: "bucket 4")]), crazed: $"B{i}");

        var answer = await Ask(fired);
        Assert.Equal((1, 0.05, 2),
            (answer.GetProperty("seed").GetInt32(), answer.GetProperty("falseAlarms").GetDouble(), answer.GetProperty("looked").GetInt32()));
        var changes = answer.GetProperty("changes").EnumerateArray().ToList();
        Assert.Equal(["elementsReplaced", "newBatch"], changes.Select(c => c.GetProperty("kind").GetString()).Distinct().Order(StringComparer.Ordinal));
        var batch = changes.Find(c => c.GetProperty("kind").GetString() == "newBatch" && c.GetProperty("defect").ValueKind == JsonValueKind.Null);
        Assert.Equal(("bucket 4", "quiet white"), (batch.GetProperty("batch").GetString(), batch.GetProperty("glaze").GetString()));
        Assert.Equal((10, 10, 5), Counts(batch.GetProperty("before")));
        Assert.Equal((0, 5, 5), Counts(batch.GetProperty("after")));
        // Two of the 252 orders of ten firings set them so far apart, and two changes were asked of.
        Assert.Equal(Math.Round(2 * 2 / 252.0, 4), batch.GetProperty("byLuck").GetDouble());
        Assert.Contains("since batch bucket 4 of quiet white, 0 of 5 came out sound, in 5 firings; before, 10 of 10, in 5 firings.", batch.GetProperty(
            "sentence").GetString(), StringComparison.Ordinal);
        Assert.Contains(
            changes, c => c.GetProperty("sentence").GetString()!.Contains("since the new elements in Round top-loader on ", StringComparison.Ordinal));

        var since = await Ask(fired, $"?since={elements:yyyy-MM-dd}&seed=9");
        Assert.Equal((9, "day"), (since.GetProperty("seed").GetInt32(), since.GetProperty("changes")[0].GetProperty("kind").GetString()));
        var earlier = await Ask(fired, $"?since={elements.AddDays(-6):yyyy-MM-dd}");
        Assert.True(earlier.GetProperty("changes").GetArrayLength() == 0 || earlier.GetProperty("changes")[0].GetProperty("byLuck").GetDouble() > 2 / 252.0);
    }

    private static DateTimeOffset Firings(int day) => DateTimeOffset.UnixEpoch.AddDays(day);

    private static (int Seen, int Pieces, int Firings) Counts(JsonElement rate) =>
        (rate.GetProperty("seen").GetInt32(), rate.GetProperty("pieces").GetInt32(), rate.GetProperty("firings").GetInt32());

    private static async Task<JsonElement> Ask(FiredStudio fired, string query = "") =>
        (await fired.Studio.Viewer.Get(fired.Studio.Path + "/evidence/changes" + query)).Expect(HttpStatusCode.OK).Body;
}
