using System.Net;
using KilnShare.Api.Tests.Common;
using KilnShare.Api.Tests.Edge;

namespace KilnShare.Api.Tests.Cones;

/// <summary>A day's log at once, with nothing beside it.</summary>
[Collection(nameof(Alone))]
public sealed class LongLogTests(Service service, ITestOutputHelper output) : IClassFixture<Service>
{
    [Fact]
    public async Task Fifty_thousand_readings_take_less_than_two_seconds_of_processor()
    {
        var viewer = (await service.MakeStudio()).Viewer;
        var readings = Enumerable.Range(0, 50_000).Select(i => new { atSeconds = i * 2.0, celsius = 20 + (i * 0.024) }).ToArray();
        await Ask();
        var start = Environment.CpuUsage.TotalTime;
        await Ask();
        var took = Environment.CpuUsage.TotalTime - start;
        output.WriteLine($"{took.TotalMilliseconds:0} ms");
        Assert.InRange(took, TimeSpan.Zero, TimeSpan.FromSeconds(2));

        async Task Ask() => (await viewer.Post("/v1/calculations/heat-work", new { readings })).Expect(HttpStatusCode.OK);
    }
}
