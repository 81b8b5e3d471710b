using System.Net;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Outcomes;

/// <summary>An outcome put right: what it said before stays, and what was lost by mistake is there again.</summary>
public sealed class OutcomeEditTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task An_outcome_is_put_right_and_what_it_said_before_can_be_read()
    {
        var load = await MugLoad.Unload(service);
        var path = await load.Write(0, "good", note: "blue");
        var tag = await load.Studio.Potter.Tag(path);
        var changed = (await load.Studio.Potter.Patch(path, new
        {
            grade = "poor",
            note = (string?)null,
            defectDetails = new[] { new { defect = "dunting", extent = "severe", where = "from the rim" } },
            look = new { surface = "satin", colour = "blue speckle" },
            wouldUseAgain = false,
        }, tag)).Expect(HttpStatusCode.OK);
        Assert.Equal(["dunting"], changed.Body.GetProperty("defects").EnumerateArray().Select(d => d.GetString()));
        Assert.Equal("from the rim", changed.Body.GetProperty("defectDetails")[0].GetProperty("where").GetString());
        Assert.Equal("blue speckle", changed.Body.GetProperty("look").GetProperty("colour").GetString());
        Assert.NotEqual(tag, await load.Studio.Potter.Tag(path));

        (await load.Studio.Technician.Patch(path, new { grade = "fair" }, await load.Studio.Potter.Tag(path))).Expect(HttpStatusCode.OK);
        var earlier = (await load.Studio.Viewer.Get(path + "/earlier")).Expect(HttpStatusCode.OK).Body.GetProperty("items").EnumerateArray().ToList();
        Assert.Equal(["1 good blue", "2 poor "], earlier.Select(
            e => $"{e.GetProperty("version")} {e.GetProperty("grade").GetString()} {e.GetProperty("note").GetString()}"));
        Assert.Equal("satin", earlier[1].GetProperty("look").GetProperty("surface").GetString());
        Assert.Equal(load.Studio.PotterId, earlier[1].GetProperty("memberId").GetGuid());

        Assert.Equal(HttpStatusCode.PreconditionFailed, (await load.Studio.Potter.Patch(path, new { grade = "good" }, tag)).Status);
        Assert.Equal(HttpStatusCode.PreconditionRequired, (await load.Studio.Potter.Patch(path, new { grade = "good" })).Status);
        Assert.Equal(HttpStatusCode.Forbidden, (await load.Studio.OtherPotter.Patch(path, new { grade = "good" }, "*")).Status);
        Assert.Equal(HttpStatusCode.NotFound, (await load.Studio.Potter.Get($"{load.Studio.Path}/outcomes/{Guid.NewGuid()}/earlier")).Status);
    }

    [Fact]
    public async Task What_was_lost_by_mistake_is_there_again_as_the_firing_left_it()
    {
        var load = await MugLoad.Unload(service);
        var before = await load.StageOf(1);
        var path = await load.Write(1, "lost");
        Assert.Equal("lost", await load.StageOf(1));
        (await load.Studio.Potter.Patch(path, new { grade = "fair" }, await load.Studio.Potter.Tag(path))).Expect(HttpStatusCode.OK);
        Assert.NotEqual("lost", before);
        Assert.Equal(before, await load.StageOf(1));
        (await load.Studio.Potter.Patch(path, new { grade = "lost" }, await load.Studio.Potter.Tag(path))).Expect(HttpStatusCode.OK);
        Assert.Equal("lost", await load.StageOf(1));
    }

    [Fact]
    public async Task Ware_that_was_fired_again_was_not_lost_before()
    {
        var load = await MugLoad.Unload(service);
        var path = await load.Write(2, "poor");
        await load.FireAgain(2);
        var refused = (await load.Studio.Potter.Patch(path, new { grade = "lost" }, await load.Studio.Potter.Tag(path))).Expect(HttpStatusCode.Conflict);
        Assert.Equal("outcomes.fired-since", refused.Code);
        Assert.NotEqual("lost", await load.StageOf(2));
    }

    [Fact]
    public async Task Nobody_judges_ware_before_the_kiln_is_open_or_tomorrow()
    {
        var load = await MugLoad.Unload(service);
        foreach (var (at, code) in new[] { ("2020-05-01T10:00:00Z", "outcomes.judged-before-open"), ("2098-05-01T10:00:00Z", "outcomes.judged-later") })
        {
            var refused = (await load.Studio.Potter.Post(
                $"{load.Studio.Path}/pieces/{load.Mine}/outcomes", new { firingId = load.FiringId, copy = 0, grade = "good", judgedAt = at }))
                .Expect(HttpStatusCode.UnprocessableEntity);
            Assert.Equal((code, "/judgedAt"), (refused.Code, refused.Pointer));
        }
    }

    [Fact]
    public async Task The_database_keeps_what_was_said_whoever_changes_it()
    {
        var load = await MugLoad.Unload(service);
        var id = (await load.Write(0, "good")).Split('/')[^1];
        await using var app = new NpgsqlConnection(service.Links.App + ";Pooling=false");
        await app.OpenAsync(TestContext.Current.CancellationToken);
        await Run($"select set_config('kilnshare.studio', '{load.Studio.Id}', false)");
        Assert.Equal("23514", (await Assert.ThrowsAsync<PostgresException>(() => Run($"update outcome set grade = 'Lost' where id = '{id}'"))).SqlState);
        await Run($"update outcome set grade = 'Poor', version = 2 where id = '{id}'");
        Assert.Equal("42501", (await Assert.ThrowsAsync<PostgresException>(() => Run("update earlier_outcome set grade = 'Poor'"))).SqlState);
        Assert.Equal("42501", (await Assert.ThrowsAsync<PostgresException>(() => Run("delete from earlier_outcome"))).SqlState);
        var earlier = (await load.Studio.Viewer.Get($"{load.Studio.Path}/outcomes/{id}/earlier")).Expect(HttpStatusCode.OK).Body.GetProperty("items");
        Assert.Equal("good", earlier[0].GetProperty("grade").GetString());

        async Task Run(string sql)
        {
            await using var command = new NpgsqlCommand(sql, app);
            await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
        }
    }
}
