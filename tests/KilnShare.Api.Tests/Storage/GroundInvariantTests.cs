using System.Net;
using KilnShare.Api.Tests.Bookings;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Storage;

/// <summary>The queries over plans and what they stand on find nothing in an honest studio, and see each fault that is planted.</summary>
public sealed class GroundInvariantTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Planted_plans_on_shelves_that_are_gone_are_seen()
    {
        var place = await Place.Make(service);
        (await place.Book()).Expect(HttpStatusCode.Created);
        Assert.Empty(await Invariants.Offences(service.Links));
        service.IsFaulted = true;
        foreach (var (fault, mend, offence) in new[]
        {
            ("update plan_shelf set shelf_id = 'gone'", "update plan_shelf set shelf_id = 'full'", "plan-on-shelves-gone"),
            ("update kiln set furniture = jsonb_set(furniture, '{shelves,0,count}', '0')",
                "update kiln set furniture = jsonb_set(furniture, '{shelves,0,count}', '4')", "plan-on-shelves-gone"),
            ("delete from plan_ground", "select 1", "plan-without-ground"),
        })
        {
            await VersionHistory.Run(service.Links.Admin, fault);
            Assert.Contains(await Invariants.Offences(service.Links), o => o.StartsWith(offence + ":", StringComparison.Ordinal));
            await VersionHistory.Run(service.Links.Admin, mend);
        }
    }
}
