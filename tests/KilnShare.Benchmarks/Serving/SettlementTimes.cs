using System.Diagnostics;

namespace KilnShare.Benchmarks.Serving;

/// <summary>How long it takes over HTTP to settle a firing of forty members, and what sixteen at once come to.</summary>
internal static class SettlementTimes
{
    private const int Members = 40;
    private const int Firings = 12;
    private const int AtOnce = 16;

    public static async Task Print()
    {
        await using var service = new ServiceProcess(18_093);
        await service.Start();
        var (studio, owner) = await service.MakeStudio();
        var (kiln, clay, glaze) = await Furnish(service, studio, owner);
        var potters = new List<string>();
        for (var i = 0; i < Members; i++)
        {
            var member = await Id(service, owner, studio + "/members", new { name = $"potter {i}", role = "potter" });
            potters.Add((await service.Ask(owner, HttpMethod.Post, $"{studio}/members/{member}/tokens", new { label = "bench" })).GetProperty("token")
                .GetString()!);
        }

        var times = new List<double>();
        for (var slot = 0; slot < Firings; slot++)
        {
            var firing = await Unloaded(service, studio, owner, potters, kiln, clay, glaze, slot);
            var clock = Stopwatch.StartNew();
            await service.Ask(owner, HttpMethod.Post, firing + "/settlement");
            times.Add(clock.Elapsed.TotalMilliseconds);
        }

        var last = await Unloaded(service, studio, owner, potters, kiln, clay, glaze, Firings);
        var settled = await Task.WhenAll(Enumerable.Range(0, AtOnce).Select(_ => Settles(service, owner, last)));
        Console.WriteLine(
            $"| a firing of {Members} members settled | median {times.Order().ElementAt(Firings / 2):0} ms | worst {times.Max():0} ms | first "
                + $"{times[0]:0} ms |");
        Console.WriteLine($"| settled {AtOnce} times at once | {settled.Count(s => s)} went through | | |");
    }

    private static async Task<bool> Settles(ServiceProcess service, string owner, string firing)
    {
        try
        {
            await service.Ask(owner, HttpMethod.Post, firing + "/settlement");
            return true;
        }
        catch (HttpRequestException)
        {
            return false;
        }
    }

    private static async Task<(Guid Kiln, Guid Clay, Guid Glaze)> Furnish(ServiceProcess service, string studio, string owner) => (
        await Id(service, owner, studio + "/kilns", new
        {
            name = "kiln",
            wearMinor = 450,
            chamber = new { footprint = Circle(585), heightMm = 685 },
            furniture = new
            {
                shelves = new[] { new { id = "full", footprint = Circle(533), thicknessMm = 19, count = 6 } },
                posts = new[] { new { heightMm = 100, count = 12 } }
            },
        }),
        await Id(service, owner, studio + "/clays",
            new { name = "clay", cones = new { from = "5", to = "7" }, atmospheres = new[] { "oxidation" }, contains = Array.Empty<int>() }),
        await Id(service, owner, studio + "/glazes", new
        {
            name = "glaze",
            cones = new { from = "5", to = "6" },
            atmospheres = new[] { "oxidation" },
            movement = "stable",
            contains = Array.Empty<int>()
        }));

    private static async Task<string> Unloaded(
        ServiceProcess service, string studio, string owner, List<string> potters, Guid kiln, Guid clay, Guid glaze, int slot)
    {
        var pieces = new List<Guid>();
        foreach (var potter in potters)
        {
            pieces.Add(await Id(service, potter, studio + "/pieces", new
            {
                name = "pot",
                footprint = Circle(70 + pieces.Count),
                heightMm = 80 + pieces.Count,
                massG = 400,
                clayId = clay,
                layers = new[] { new { glazeId = glaze, coats = 2 } },
                stage = "bisque",
                bisquedAt = "04",
                bareFootMm = 6,
            }));
        }

        var start = new DateTimeOffset(2027, 1, 1, 6, 0, 0, TimeSpan.Zero).AddDays(2 * slot);
        var plan = new { kilnId = kiln, kind = "glaze", cone = "6", startsAt = start, firingHours = 10, coolingHours = 20 };
        var firing = $"{studio}/firings/{await Id(service, owner, studio + "/firings", plan)}";
        await Move(service, owner, firing, "accepting", "fixed");
        await service.Ask(owner, HttpMethod.Put, firing + "/load", new { placed = pieces.Select(p => new { pieceId = p }) });
        await service.Ask(owner, HttpMethod.Post, firing + "/meter-readings", new { readAt = start, registerKwh = 4821.4 });
        await service.Ask(owner, HttpMethod.Post, firing + "/meter-readings", new { readAt = start.AddHours(10), registerKwh = 4884.8 });
        await Move(service, owner, firing, "heating", "cooling", "unloaded");
        return firing;
    }

    private static async Task Move(ServiceProcess service, string owner, string firing, params string[] states)
    {
        foreach (var state in states) await service.Ask(owner, HttpMethod.Put, firing + "/state", new { state, answeredBy = "Tilo" });
    }

    private static async Task<Guid> Id(ServiceProcess service, string token, string path, object body) =>
        (await service.Ask(token, HttpMethod.Post, path, body)).GetProperty("id").GetGuid();

    private static object Circle(int diameterMm) => new { kind = "circle", diameterMm };
}
