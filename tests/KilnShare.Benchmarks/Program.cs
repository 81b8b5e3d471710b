using KilnShare.Benchmarks.Loading;

if (args.Length == 0 || args[0] is not "loading")
{
    Console.WriteLine("Usage: dotnet run -c Release --project tests/KilnShare.Benchmarks -- loading [folder of instances] [only=measure,measure] [clock=cpu]");
    return 1;
}

var only = args.Skip(1).FirstOrDefault(a => a.StartsWith("only=", StringComparison.Ordinal))?[5..].Split(',') ?? [];
var folder = args.Skip(1).FirstOrDefault(a => !a.Contains('=', StringComparison.Ordinal)) ?? Environment.GetEnvironmentVariable("KILNSHARE_PACKING_DATA");
if (args.Contains("clock=cpu")) Kiln.Clock = new CpuClock();
LoadingTable.Print(folder, only);
return 0;
