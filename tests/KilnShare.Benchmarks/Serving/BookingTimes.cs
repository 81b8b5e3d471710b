using System.Diagnostics;

namespace KilnShare.Benchmarks.Serving;

/// <summary>How long a booking takes over HTTP: 8 firings, book and withdraw mixed, accepted and refused apart; and five pieces into a plan of forty.</summary>
internal static class BookingTimes
{
    public static async Task Print()
    {
        await using var service = new ServiceProcess(18_092);
        await service.Start();
        var (studio, token) = await service.MakeStudio();
        var bench = await Bench.Make(service, studio, token);
        var dice = new Random(1);
        var full = await bench.MakeFiring(0);
        for (var i = 0; i < 8; i++) await bench.Book(full, 5, dice);
        var five = new List<double>();
        for (var i = 0; i < 25; i++)
        {
            var (took, path) = await bench.Book(full, 5, dice);
            if (path is null) continue;
            five.Add(took);
            await bench.Withdraw(path);
        }

        Console.WriteLine($"| five pieces into a plan of forty | median {Middle(five):0} ms | worst {five.Max():0} ms | |");
        var firings = new List<string>();
        for (var i = 1; i <= 8; i++) firings.Add(await bench.MakeFiring(i));
        var (accepted, refused, withdrawn, held) = (new List<double>(), new List<double>(), new List<double>(), new List<string>());
        for (var i = 0; i < 160; i++)
        {
            if (held.Count > 20 && dice.Next(3) == 0)
            {
                withdrawn.Add(await bench.Withdraw(held[^1]));
                held.RemoveAt(held.Count - 1);
                continue;
            }

            var (took, path) = await bench.Book(firings[dice.Next(8)], dice.Next(2, 7), dice);
            (path is null ? refused : accepted).Add(took);
            if (path is not null) held.Add(path);
        }

        Console.WriteLine(
            $"| bookings, 8 firings | accepted: median {Middle(accepted):0} ms of {accepted.Count} | refused: median {Middle(refused):0} ms of "
                + $"{refused.Count} | withdrawn: median {Middle(withdrawn):0} ms |");
    }

    private static double Middle(List<double> times) => times.Count == 0 ? 0 : times.Order().ElementAt(times.Count / 2);

    private sealed record Bench(ServiceProcess Service, string Studio, string Token, Guid Kiln, Guid Clay, Guid Glaze)
    {
        public static async Task<Bench> Make(ServiceProcess service, string studio, string token)
        {
            async Task<Guid> Id(string path, object body) => (await service.Ask(token, HttpMethod.Post, studio + path, body)).GetProperty("id").GetGuid();
            var kiln = await Id("/kilns", new
            {
                name = "kiln",
                chamber = new { footprint = Circle(585), heightMm = 685 },
                furniture = new
                {
                    shelves = new[] { new { id = "full", footprint = Circle(533), thicknessMm = 19, count = 6 } },
                    posts = new[] { 25, 50, 100, 125, 150 }.Select(h => new { heightMm = h, count = 12 })
                },
            });
            var clay = await Id("/clays", new
            {
                name = "clay",
                cones = new { from = "5", to = "7" },
                atmospheres = new[] { "oxidation" },
                expansionPpmPerC = 6.9,
                expansionMethod = "d",
                contains = Array.Empty<int>()
            });
            var glaze = await Id("/glazes", new
            {
                name = "glaze",
                cones = new { from = "5", to = "6" },
                atmospheres = new[] { "oxidation" },
                movement = "stable",
                expansionPpmPerC = 6.2,
                expansionMethod = "d",
                contains = Array.Empty<int>()
            });
            return new Bench(service, studio, token, kiln, clay, glaze);
        }

        public async Task<string> MakeFiring(int slot)
        {
            var id = (await Service.Ask(Token, HttpMethod.Post, Studio + "/firings", new
            {
                kilnId = Kiln,
                kind = "glaze",
                cone = "6",
                startsAt = $"2027-01-{1 + (slot * 2):00}T06:00:00Z",
                firingHours = 10,
                coolingHours = 20
            })).GetProperty("id").GetGuid();
            var path = $"{Studio}/firings/{id}";
            await Service.Ask(Token, HttpMethod.Put, path + "/state", new { state = "accepting" });
            return path;
        }

        public async Task<(double Took, string? Path)> Book(string firing, int pieces, Random dice)
        {
            var ids = new List<Guid>();
            for (var i = 0; i < pieces; i++)
            {
                ids.Add((await Service.Ask(Token, HttpMethod.Post, Studio + "/pieces", new
                {
                    name = "pot",
                    footprint = Circle(dice.Next(70, 111)),
                    heightMm = dice.Next(80, 131),
                    massG = 400,
                    clayId = Clay,
                    layers = new[] { new { glazeId = Glaze, coats = 2 } },
                    stage = "bisque",
                    bisquedAt = "04",
                    bareFootMm = 6,
                })).GetProperty("id").GetGuid());
            }

            var clock = Stopwatch.StartNew();
            try
            {
                var booked = await Service.Ask(Token, HttpMethod.Post, firing + "/bookings", new { pieces = ids.Select(i => new { pieceId = i }) });
                return (clock.Elapsed.TotalMilliseconds, $"{firing}/bookings/{booked.GetProperty("id").GetGuid()}");
            }
            catch (HttpRequestException)
            {
                return (clock.Elapsed.TotalMilliseconds, null);
            }
        }

        public async Task<double> Withdraw(string booking)
        {
            var clock = Stopwatch.StartNew();
            await Service.Ask(Token, HttpMethod.Post, booking + "/withdrawal");
            return clock.Elapsed.TotalMilliseconds;
        }

        private static object Circle(int diameterMm) => new { kind = "circle", diameterMm };
    }
}
