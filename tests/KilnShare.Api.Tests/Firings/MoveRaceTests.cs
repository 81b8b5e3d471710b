using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Firings;

public sealed class MoveRaceTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Of_two_who_move_a_firing_at_once_one_does_and_the_other_is_told_what_it_is_now()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        for (var turn = 0; turn < Races.Tries; turn++)
        {
            var path = $"{studio.Path}/firings/{await studio.MakeFiring(kiln, turn)}/state";
            var replies = await Races.AtOnce(
                [.. Enumerable.Range(0, 4).Select(_ => (Func<Task<Reply>>)(() => studio.Technician.Put(path, new { state = "fixed" })))]);
            Assert.Single(replies, r => r.Status == HttpStatusCode.OK);
            Assert.All(replies.Where(r => r.Status != HttpStatusCode.OK), r =>
            {
                Assert.Equal("firings.no-such-step", r.Expect(HttpStatusCode.Conflict).Code);
                Assert.Contains("A firing that is fixed", r.Text, StringComparison.Ordinal);
            });
        }
    }

    [Fact]
    public async Task Fixing_opening_editing_and_calling_off_at_once_never_fail()
    {
        var studio = await service.MakeStudio();
        var kiln = await studio.MakeKiln();
        for (var turn = 0; turn < Races.Tries; turn++)
        {
            var path = $"{studio.Path}/firings/{await studio.MakeFiring(kiln, turn)}";
            var tag = await studio.Technician.Tag(path);
            var replies = await Races.AtOnce(
                () => studio.Technician.Put(path + "/state", new { state = "fixed" }),
                () => studio.Technician.Put(path + "/state", new { state = "draft" }),
                () => studio.Technician.Patch(path, new { firingHours = 10 }, tag),
                () => studio.Technician.Delete(path, tag));
            Assert.All(replies, r => Assert.True(
                r.Status is HttpStatusCode.OK or HttpStatusCode.NoContent or HttpStatusCode.Conflict or HttpStatusCode.PreconditionFailed,
                    $"{(int)r.Status}: {r.Text}{ErrorLog.Last}"));
            Assert.Contains(replies, r => (int)r.Status < 300);
            (await studio.Technician.Send(HttpMethod.Delete, path, ifMatch: "*"))
                .Expect(replies[3].Status == HttpStatusCode.NoContent ? HttpStatusCode.Conflict : HttpStatusCode.NoContent);
        }
    }

    [Fact]
    public async Task What_exists_once_for_a_firing_or_studio_is_written_by_two_at_once_without_a_failure()
    {
        for (var turn = 0; turn < Races.Tries; turn++)
        {
            var studio = await service.MakeStudio();
            var kiln = await studio.MakeKiln();
            var firing = $"{studio.Path}/firings/{await studio.MakeFiring(kiln)}";
            await TwoWrite(() => studio.Technician.Put(firing + "/lighting-checks", new
            {
                ventOn = true,
                witnessConesPlaced = true,
                plugsAsWanted = true,
                shelvesWashed = true,
                nothingFlammableNear = true,
                presentAtEnd = "Tilo",
            }));
            await TwoWrite(() => studio.Owner.Put(studio.Path + "/house-rules", new { outsideMaterialNeedsTestAndCatcher = true }));
            await TwoWrite(() => studio.Owner.Send(HttpMethod.Put, firing + "/surcharges", new { surcharges = Array.Empty<object>() }));
            await TwoWrite(
                () => studio.Technician.Put(firing + "/unmetered-energy", new { ratedKw = 8, duty = new[] { new { hours = 10, dutyPercent = 50 } } }));
            await TwoWrite(() => studio.Technician.Put($"{studio.Path}/kilns/{kiln}/service", new { outOfServiceReason = "two elements are worn out" }));
        }
    }

    private static async Task TwoWrite(Func<Task<Reply>> write)
    {
        var replies = await Races.AtOnce(write, write);
        Assert.All(replies, r => Assert.True(r.Status is HttpStatusCode.OK or HttpStatusCode.Conflict, $"{(int)r.Status}: {r.Text}{ErrorLog.Last}"));
        Assert.Contains(replies, r => r.Status == HttpStatusCode.OK);
    }
}
