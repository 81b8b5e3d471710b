using System.Net;
using System.Net.Http.Headers;
using System.Text;
using System.Text.Json;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Edge;

/// <summary>
/// Calculations at the corners of what they take: each answers, or says which bound is passed, within a share of processor and memory that
/// needs no line before it. Measured on a process of its own, by its processor time and its peak of memory.
/// </summary>
[Collection(nameof(Alone))]
public sealed class CornerTests(Service service, ITestOutputHelper output) : IClassFixture<Service>
{
    private const double MostSeconds = 2;
    private const double MostGrowthMiB = 64;
    private const int MostAnswerBytes = 8_000_000;

    [Fact]
    public async Task No_calculation_takes_much_processor_or_memory_or_answers_at_length()
    {
        var studio = await service.MakeStudio();
        await using var process = await MeasuredService.Start(service.Links);
        process.Client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", studio.Viewer.Token);
        foreach (var (_, path, body) in Asked()) await Ask(process, path, Corners.Small(path) ?? body); // what a first time costs stays out of the account
        var rest = await Rest(process, double.PositiveInfinity);
        var over = new List<string>();
        foreach (var (name, path, body) in Asked())
        {
            var held = await Rest(process, rest);
            process.ForgetPeak();
            var before = process.ProcessorSeconds();
            var (status, bytes, said) = await Ask(process, path, body);
            var (seconds, growth) = (process.ProcessorSeconds() - before, process.PeakMiB() - held);
            var line = $"{name}: {(int)status}, {bytes / 1e6:0.00} MB, {seconds:0.00} s of processor, {growth:+0;-0} MiB {said}";
            output.WriteLine(line);
            if (status != HttpStatusCode.OK || bytes > MostAnswerBytes || seconds > MostSeconds || growth > MostGrowthMiB) over.Add(line);
        }

        Assert.True(over.Count == 0, string.Join("\n", over));
    }

    /// <summary>Those that were ever near a bound; in a long run all, also those that wait in a line.</summary>
    private static IEnumerable<(string Name, string Path, string Body)> Asked() =>
        Environment.GetEnvironmentVariable("KILNSHARE_SOAK") == "1"
            ? Corners.All() : Corners.All().Where(q => Corners.Heaviest.Any(n => q.Name.StartsWith(n, StringComparison.Ordinal)));

    private static async Task<(HttpStatusCode Status, long Bytes, string Said)> Ask(MeasuredService process, string path, string body)
    {
        using var content = new StringContent(body, Encoding.UTF8, "application/json");
        using var response = await process.Client.PostAsync(path, content, TestContext.Current.CancellationToken);
        var answer = await response.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken);
        return (response.StatusCode, answer.LongLength, response.StatusCode == HttpStatusCode.OK ? "" : Encoding.UTF8.GetString(answer));
    }

    /// <summary>Waits until it has given memory back, but for 16 MiB, or a while; how much it then holds, MiB.</summary>
    private static async Task<double> Rest(MeasuredService process, double until)
    {
        var least = process.MemoryMiB();
        for (var i = 0; i < 150 && least > until + 16; i++)
        {
            await Task.Delay(100, TestContext.Current.CancellationToken);
            least = Math.Min(least, process.MemoryMiB());
        }

        if (!double.IsInfinity(until)) return least;
        await Task.Delay(TimeSpan.FromSeconds(10), TestContext.Current.CancellationToken);
        return process.MemoryMiB();
    }
}

/// <summary>The largest questions that calculations take.</summary>
internal static class Corners
{
    private const int MostName = 120;
    private static readonly JsonSerializerOptions WithoutNulls =
        new() { DefaultIgnoreCondition = System.Text.Json.Serialization.JsonIgnoreCondition.WhenWritingNull };

    /// <summary>Corners that took more than 20 MiB, by how their names begin (measured).</summary>
    public static readonly IReadOnlyList<string> Heaviest = ["cost split, 5 parts by levelHeight", "heat-work of readings", "co-firing check"];

    public static IEnumerable<(string Name, string Path, string Body)> All()
    {
        foreach (var basis in new[] { "equal", "volume", "levelHeight", "kwh" })
            yield return ($"cost split, 5 parts by {basis} for 2,000 members", "/v1/calculations/cost-split", CostSplit(5, 2_000, basis, 10, 0));
        yield return ("cost split, 200 parts for 50 members", "/v1/calculations/cost-split", CostSplit(200, 50, "levelHeight", 200, 0));
        yield return ("cost split, one part and a minimum", "/v1/calculations/cost-split", Minimum(2_000));
        yield return ("heat-work of readings", "/v1/calculations/heat-work", Readings(80_000));
        yield return ("heat-work of a schedule", "/v1/calculations/heat-work", Text(new { series = "selfSupporting", schedule = Schedule(64, 20) }));
        yield return ("schedule forecast", "/v1/calculations/schedule-forecast", Text(
            new { schedule = Schedule(64, 20), ware = new { thickestWallMm = 8, stage = "bisque" } }));
        yield return ("schedule peak", "/v1/calculations/schedule-peak", Text(new { cone = "6", schedule = Schedule(64, 20) }));
        yield return ("schedule fit", "/v1/calculations/schedule-fit", Text(
            new { schedule = Schedule(64, 20), hours = 300, ware = new { thickestWallMm = 8, stage = "bisque" }, kilnCPerHour = 250 }));
        yield return ("schedule units", "/v1/calculations/schedule-units", Text(
            new { startF = 70, segments = Enumerable.Range(0, 64).Select(i => new { rateFPerHour = 400, toF = i % 2 == 0 ? 2_000 : 900, holdMinutes = 60 }) }));
        yield return ("firing energy", "/v1/calculations/firing-energy", Energy(null));
        yield return ("firing energy drawn", "/v1/calculations/firing-energy/picture", Energy(null));
        yield return ("firing energy at a tariff", "/v1/calculations/firing-energy", Energy(Tariff(100), startsAt: "2027-03-01T00:00:00Z"));
        yield return ("cheapest start", "/v1/calculations/cheapest-start", Energy(Tariff(100), "2027-03-01T00:00:00Z", "2027-03-15T00:00:00Z", isShort: true));
        yield return ("cheapest start of a long firing", "/v1/calculations/cheapest-start", Energy(
            Tariff(100), "2027-03-01T00:00:00Z", "2027-03-15T00:00:00Z", holdMinutes: 340));
        yield return ("co-firing check of much ware", "/v1/calculations/co-firing-check", CoFiring(2_000, 1));
        yield return ("co-firing check of many layers", "/v1/calculations/co-firing-check", CoFiring(220, 20));
        yield return ("firing groups", "/v1/calculations/firing-groups", Text(new { pieces = Ware(2_000, 1) }));
        yield return ("load plan", "/v1/calculations/load-plan", Load(2_000, 200));
        yield return ("load plan drawn", "/v1/calculations/load-plan/picture", Load(2_000, 200));
        yield return ("load series", "/v1/calculations/load-series", Load(2_000, 1));
    }

    /// <summary>A small question for a call; null where the large one is asked at first too.</summary>
    public static string? Small(string path) => path.EndsWith("cost-split", StringComparison.Ordinal) ? CostSplit(1, 2, "equal", 1, 0)
        : path.EndsWith("co-firing-check", StringComparison.Ordinal) ? CoFiring(2, 1)
        : path.EndsWith("firing-groups", StringComparison.Ordinal) ? Text(new { pieces = Ware(2, 1) })
        : path.EndsWith("heat-work", StringComparison.Ordinal) ? Readings(100)
        : path.Contains("load-", StringComparison.Ordinal) ? Load(2, 2) : null;

    private static string Text(object question) => JsonSerializer.Serialize(question);

    private static string Name(int i) => new string('界', MostName - 6) + i.ToString("000000");

    private static string CostSplit(int parts, int members, string basis, int levels, long minimum) => Text(new
    {
        currency = "EUR",
        parts = Enumerable.Range(0, parts)
            .Select(i => new { name = Name(i), amountMinor = 999_999_999_999_999 - i, basis, energyKwh = basis == "kwh" ? 9_000_000_000m : (decimal?)null }),
        members = Enumerable.Range(0, members).Select(i => new
        {
            id = "m" + i,
            volumeCm3 = 9_000_000_000m - i,
            ownHeatKwh = i / 1000m,
            levelHeightsMm = basis == "levelHeight" ? Enumerable.Range(0, levels).Select(l => 1 + ((i * 7919L + l * 104_729L) % 999_983)) : null,
        }),
        minimumMinor = minimum,
    });

    /// <summary>Weights of which each round of the minimum lets one fall below it: by one part in so many less than the one before.</summary>
    private static string Minimum(int members)
    {
        var (least, total) = (1_000_000m, 1_000_000m * members * 1.5m);
        var (weights, rest, left) = (new List<decimal>(), total, 1_000_000_000m);
        for (var i = 0; i < members - 1; i++)
        {
            // Just below the minimum at the present price of a unit of weight.
            var weight = decimal.Round(least * left / rest * 0.9999m, 3);
            weights.Add(weight);
            (rest, left) = (rest - least, left - weight);
        }

        weights.Add(decimal.Round(left, 3));
        return Text(new
        {
            currency = "EUR",
            parts = new[] { new { name = "all", amountMinor = (long)total, basis = "volume" } },
            members = weights.Select((w, i) => new { id = "m" + i, volumeCm3 = w }),
            minimumMinor = (long)least,
        });
    }

    private static string Readings(int count) => Text(new
    {
        series = "selfSupporting",
        readings = Enumerable.Range(0, count).Select(i => new { atSeconds = i * 90, celsius = Math.Round(1_250 - (i % 50 * 10.1), 1) }),
    });

    private static object Schedule(int segments, double startC) => new
    {
        startC,
        segments = Enumerable.Range(0, segments)
            .Select(i => new { rateCPerHour = i == segments - 1 ? 60 : 400.0, toC = i == segments - 1 ? 1_222 : i % 2 == 0 ? 1_100 : 300.0, holdMinutes = 60 }),
    };

    private static string Energy(object? tariff, string? from = null, string? to = null, bool isShort = false, string? startsAt = null,
        int holdMinutes = 400) => JsonSerializer.Serialize(
        new
        {
            kiln = new
            {
                chamber = new { footprint = TestStudio.Circle(585), heightMm = 685 },
                ratedKw = 100,
                wall = Enumerable.Range(0, 8).Select(i => new { material = i % 2 == 0 ? "firebrick23" : "fibre", thicknessMm = 1_000 }),
                lossFactor = 1.0,
            },
            load = new { wareKg = 40, furnitureKg = 25, stage = "bisque", moisturePercent = 0 },
            ambientC = 15,
            schedule = isShort
                ? new { startC = 15.0, segments = Enumerable.Range(0, 1).Select(_ => new { rateCPerHour = 2_000.0, toC = 600.0, holdMinutes = 0 }) }
                : new
                {
                    startC = 15.0,
                    segments = Enumerable.Range(0, 32)
                    .Select(i => new { rateCPerHour = 400.0, toC = i % 2 == 0 ? 1_200 : 900.0, holdMinutes })
                },
            tariff,
            zone = "Europe/Berlin",
            startsAt,
            from,
            to,
            attended = from is null ? null : new
            {
                hours = Enumerable.Range(0, 50)
                .Select(i => new { days = i == 49 ? "mon-sun" : "mon", from = "00:00", to = "24:00" }),
                atEndHours = 48
            },
        },
        WithoutNulls);

    private static object Tariff(int periods) => new
    {
        currency = "EUR",
        periods = Enumerable.Range(0, periods).Select(i => new
        {
            name = "p" + i,
            from = $"{i * 14 / 60:00}:{i * 14 % 60:00}",
            to = i == periods - 1
            ? "24:00" : $"{(i + 1) * 14 / 60:00}:{(i + 1) * 14 % 60:00}",
            perKwh = $"0.{100 + i}"
        }),
        perFiring = "1.20",
        demandPerKw = "1",
        demandMinutes = 15,
        taxes = Enumerable.Range(0, 10).Select(i => new { name = "t" + i, percent = "1" }),
    };

    private static string CoFiring(int pieces, int layers) =>
        Text(new { firing = new { kind = "glaze", cone = "6", atmosphere = "reduction" }, pieces = Ware(pieces, layers) });

    /// <summary>Ware of which hardly anything is known, and the rest speaks against its neighbours.</summary>
    private static IEnumerable<object> Ware(int pieces, int layers) => Enumerable.Range(0, pieces).Select(i => (object)new
    {
        id = "piece " + i,
        stage = i % 3 == 0 ? "greenware" : "bisque",
        forFood = i % 2 == 0,
        clay = new { name = "clay " + i, cones = new { from = "04", to = "03" } },
        layers = Enumerable.Range(0, layers).Select(l => new
        {
            glaze = new
            {
                name = $"glaze {i}.{l}",
                kind = "glaze",
                cones = new { from = "08", to = "06" },
                contains = new[] { new { what = i % 4 == 0 ? "chromium" : i % 4 == 1 ? "tin" : i % 4 == 2 ? "copper" : "lead" } },
                movement = "runs",
            },
            coats = 2,
        }),
    });

    private static string Load(int copies, int shelves) => Text(new
    {
        chamber = new { footprint = new { kind = "rectangle", widthMm = 4_900, depthMm = 4_900 }, heightMm = 4_900 },
        furniture = new
        {
            shelves = new[] { new { id = "wide", footprint = new { kind = "rectangle", widthMm = 4_800, depthMm = 4_800 }, thicknessMm = 20,
                count = shelves } },
            posts = new[] { new { heightMm = 25, count = 600 }, new { heightMm = 100, count = 600 } },
        },
        pieces = Enumerable.Range(0, copies)
            .Select(i => new { id = "p" + i, footprint = new { kind = "circle", diameterMm = 60 + (i % 40) }, heightMm = 60, quantity = 1 }),
        search = new { milliseconds = 300 },
    });
}
