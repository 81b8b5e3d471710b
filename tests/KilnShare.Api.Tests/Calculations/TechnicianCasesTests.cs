using System.Text.Json;
using System.Text.Json.Nodes;
using KilnShare.Api.CoFiring;
using StrictJson = KilnShare.Api.Common.Json;
using KilnShare.Api.Tests.Document;
using KilnShare.Core.CoFiring;

namespace KilnShare.Api.Tests.Calculations;

/// <summary>
/// Loads with what a technician would say of them (tests/data/cofiring-cases.jsonl, written for this project; each row names its basis: a published
/// source or common practice).
/// </summary>
public sealed class TechnicianCasesTests
{
    private static readonly Dictionary<string, JsonObject> Cases = File.ReadLines(Path.Combine(CommittedFile.Root, "tests/data/cofiring-cases.jsonl"))
        .Select(line => JsonNode.Parse(line)!.AsObject()).ToDictionary(row => row["id"]!.GetValue<string>(), StringComparer.Ordinal);

    // The rows that name a field the request did not have: what the row's sentence says, written into that field.
    private static readonly Dictionary<string, Action<JsonObject>> Completed = new(StringComparer.Ordinal)
    {
        ["n01"] = request => request["firing"]!["schedule"] = JsonNode.Parse("""{"startC":20,"segments":[{"rateCPerHour":300,"toC":1063}]}"""),
        ["n02"] = request => request["pieces"]![0]!["lid"] = "inPlace",
        ["n03"] = request => request["pieces"]![0]!["clay"]!["organics"] = true,
        ["n04"] = request => (request["pieces"]![0]!["member"], request["pieces"]![1]!["member"]) = ("a", "b"),
    };

    public static TheoryData<string> Ids => [.. Cases.Keys];

    [Theory]
    [MemberData(nameof(Ids))]
    public void A_technician_would_say_the_same(string id)
    {
        var row = Cases[id];
        var answer = Ask(row);
        var findings = answer["pieces"]!.AsArray().SelectMany(piece => piece!["findings"]!.AsArray()).Concat(answer["between"]!.AsArray())
            .Select(f => f!.AsObject()).ToList();
        var expect = row["expect"]!.AsObject();
        var found = findings.Select(f => $"{f["rule"]} {f["touches"]} {f["verdict"]} asks {f["asks"]} {f["pieces"]!.ToJsonString()} {f["message"]}");
        var said = $"{id}: {row["what"]}\n{string.Join('\n', found)}";
        Assert.True(Fits(answer["gate"], expect["gate"]), $"gate {answer["gate"]}, not {expect["gate"]!.ToJsonString()}. {said}");
        foreach (var wanted in expect["say"]!.AsArray())
            Assert.True(findings.Exists(f => Matches(f, wanted!.AsObject())), $"Nothing says {wanted!.ToJsonString()}. {said}");
        foreach (var unwanted in expect["mustNot"]!.AsArray())
            Assert.False(findings.Exists(f => Matches(f, unwanted!.AsObject())), $"Something says {unwanted!.ToJsonString()}. {said}");
        foreach (var cure in expect["cureMust"]?.AsArray() ?? [])
            Assert.True(findings.Exists(f => Offers(f, cure!.AsObject())), $"Nothing offers {cure!.ToJsonString()}. {said}");
    }

    [Fact]
    public void Every_row_that_needs_a_field_is_completed() =>
        Assert.Equal(Cases.Where(row => row.Value.ContainsKey("needs")).Select(row => row.Key), Completed.Keys);

    private static JsonObject Ask(JsonObject row)
    {
        var request = row["request"]!.DeepClone().AsObject();
        if (Completed.TryGetValue(row["id"]!.GetValue<string>(), out var complete)) complete(request);
        var question = request.Deserialize<CoFiringQuestion>(StrictJson.Options)!;
        var answer = CoFiringCheck.Check(question.Firing.ToPlan(), [.. question.Pieces.Select(p => p.ToCore())]);
        return JsonSerializer.SerializeToNode(CoFiringAnswerContract.Of(answer, question.Firing.ToCore()), StrictJson.Options)!.AsObject();
    }

    private static bool Matches(JsonObject finding, JsonObject wanted) => wanted.All(part => part.Key switch
    {
        "piece" => part.Value is null || finding["pieces"]!.AsArray().Any(id => Same(id, part.Value)),
        "worst" => Fits(finding["verdict"], part.Value),
        "cure" => Offers(finding, part.Value!.AsObject()),
        _ => Fits(finding[part.Key], part.Value),
    });

    private static bool Offers(JsonObject finding, JsonObject cure) =>
        finding["cures"]!.AsArray().Any(offered => cure.All(part => Fits(offered![part.Key], part.Value)));

    private static bool Fits(JsonNode? value, JsonNode? wanted) => wanted is JsonArray several ? several.Any(one => Same(value, one)) : Same(value, wanted);

    private static bool Same(JsonNode? one, JsonNode? other) => JsonNode.DeepEquals(one, other);
}
