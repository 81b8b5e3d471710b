using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Costs;

public sealed class IncidentTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Damage_goes_from_who_makes_it_good_to_each_who_lost()
    {
        var studio = await CostStudio.Make(service);
        var (mira, other) = (studio.Studio.PotterId, studio.OtherPotterId);
        var firing = await studio.Settled();
        var (miraBefore, otherBefore) = (await studio.Balance(mira), await studio.Balance(other));
        var body = new
        {
            causedBy = mira,
            losses = new object[] { new { amountMinor = 4_500, what = "shelf" }, new { memberId = other, amountMinor = 2_000, what = "bowl" },
                new { memberId = mira, amountMinor = 900, what = "bowl" } },
            reason = "the glaze ran",
        };
        (await studio.Studio.Technician.Post($"{studio.Path}/firings/{firing}/incidents", body)).Expect(HttpStatusCode.Created);
        Assert.Equal((6_500, -2_000), (await studio.Balance(mira) - miraBefore, await studio.Balance(other) - otherBefore));
        var statement = (await studio.Statement(studio.Studio.OtherPotter, other, "2020-01-01", "2090-01-01")).Body.GetProperty("entries");
        Assert.Equal("the glaze ran", statement[statement.GetArrayLength() - 1].GetProperty("note").GetString());
        Assert.Contains(
            "damage in the glaze firing to cone 6", statement[statement.GetArrayLength() - 1].GetProperty("what").GetString(), StringComparison.Ordinal);
        Assert.Single((await studio.Studio.Potter.Get($"{studio.Path}/firings/{firing}/incidents")).Body.GetProperty("items").EnumerateArray());
    }

    [Fact]
    public async Task Who_is_not_in_the_studio_and_what_is_nothing_are_refused()
    {
        var studio = await CostStudio.Make(service);
        var path = $"{studio.Path}/firings/{await studio.Accepting()}/incidents";
        object Body(Guid? causedBy, long amount) => new { causedBy, losses = new[] { new { amountMinor = amount, what = "shelf" } }, reason = "x" };
        Assert.Equal("/causedBy", (await studio.Studio.Technician.Post(path, Body(Guid.NewGuid(), 5))).Expect(HttpStatusCode.UnprocessableEntity).Pointer);
        Assert.Equal("/losses/0/amountMinor", (await studio.Studio.Technician.Post(path, Body(null, 0))).Expect(HttpStatusCode.BadRequest).Pointer);
        (await studio.Studio.Potter.Post(path, Body(null, 5))).Expect(HttpStatusCode.Forbidden);
    }
}
