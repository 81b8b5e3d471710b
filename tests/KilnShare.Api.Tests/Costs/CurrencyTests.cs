using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Costs;

public sealed class CurrencyTests(Service service) : IClassFixture<Service>
{
    // In use; never given out; a metal; withdrawn (ISO 4217, list one).
    [Theory]
    [InlineData("NOK", true)]
    [InlineData("ABC", false)]
    [InlineData("XAU", false)]
    [InlineData("HRK", false)]
    public async Task Studios_tariffs_and_cost_splits_take_money_that_is_in_use(string currency, bool taken)
    {
        var studio = await service.MakeStudio();
        var made = await service.As(Service.InstallationToken)
            .Post("/v1/studios", new { name = "Hillside", timeZone = "Europe/Oslo", currency, perKwh = "0.3", ownerName = "Alma" });
        var tariff = await studio.Owner.Post(studio.Path + "/tariffs", new
        {
            name = "flat",
            currency,
            periods = new[] { new { name = "all", months = "1-12", days = "mon-sun", from = "00:00", to = "24:00", perKwh = "0.3" } }
        });
        var split = await studio.Viewer.Post("/v1/calculations/cost-split", new
        {
            currency,
            tieSeed = "",
            parts = new[] { new { name = "wear", amountMinor = 10, basis = "equal" } },
            members = new[] { new { id = "a" } },
            unusedSpace = "spread"
        });
        foreach (var reply in new[] { made, tariff, split })
        {
            if (taken) Assert.NotEqual("studios.no-such-currency", reply.Code); // a tariff must still be in the money of its studio
            else Assert.Equal(("studios.no-such-currency", "/currency"), (reply.Expect(HttpStatusCode.BadRequest).Code, reply.Pointer));
        }

        if (taken) made.Expect(HttpStatusCode.Created);
        if (taken) split.Expect(HttpStatusCode.OK);
    }
}
