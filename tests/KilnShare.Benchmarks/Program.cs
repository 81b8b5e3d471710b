using KilnShare.Benchmarks.CoFiring;
using KilnShare.Benchmarks.Costs;
using KilnShare.Benchmarks.Energy;
using KilnShare.Benchmarks.Loading;
using KilnShare.Benchmarks.Serving;

// One table of measures: all of them, or those named. "loading" takes a folder of instances, only=measure,measure, every=n (of a family each n-th
// instance), skip=n (the first seed of random kilns) and clock=cpu; "point-read", "settlement", "booking" and "restarts" start the service over a
// private cluster of their own on 127.0.0.1.
string[] known = ["loading", "co-firing", "energy", "costs", "settlement", "booking", "point-read", "restarts"];
var wanted = args.Where(a => known.Contains(a, StringComparer.Ordinal)).ToList();
if (wanted.Count == 0) wanted = [.. known];
var good = true;
foreach (var measure in wanted)
{
    Console.WriteLine($"\n## {measure}\n");
    switch (measure)
    {
        case "loading":
            var only = args.FirstOrDefault(a => a.StartsWith("only=", StringComparison.Ordinal))?[5..].Split(',') ?? [];
            var folder = args.FirstOrDefault(a => !a.Contains('=', StringComparison.Ordinal) && !known.Contains(a, StringComparer.Ordinal))
                ?? Environment.GetEnvironmentVariable("KILNSHARE_PACKING_DATA");
            if (args.FirstOrDefault(a => a.StartsWith("every=", StringComparison.Ordinal)) is { } every)
                Kiln.Every = int.Parse(every[6..], System.Globalization.CultureInfo.InvariantCulture);
            if (args.FirstOrDefault(a => a.StartsWith("skip=", StringComparison.Ordinal)) is { } skip)
                Kiln.Skip = int.Parse(skip[5..], System.Globalization.CultureInfo.InvariantCulture);
            if (args.Contains("clock=cpu", StringComparer.Ordinal)) Kiln.Clock = new CpuClock();
            LoadingTable.Print(folder, only);
            break;
        case "co-firing":
            GroupTimes.Print();
            break;
        case "energy":
            good &= EnergyTimes.Print();
            break;
        case "costs":
            SplitTimes.Print();
            break;
        case "settlement":
            await SettlementTimes.Print();
            break;
        case "booking":
            await BookingTimes.Print();
            break;
        case "point-read":
            await PointRead.Print();
            break;
        default:
            good &= await Restarts.Print();
            break;
    }
}

return good ? 0 : 1;
