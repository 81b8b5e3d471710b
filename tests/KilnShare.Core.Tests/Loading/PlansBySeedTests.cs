using System.Security.Cryptography;
using System.Text;
using KilnShare.Core.Tests.Architecture;

namespace KilnShare.Core.Tests.Loading;

/// <summary>Same problem, same seed, same iterations: the plans that are recorded, to the last micrometre.</summary>
public class PlansBySeedTests
{
    private const string Record = "tests/KilnShare.Core.Tests/Loading/Recorded/plans-by-seed.csv";

    // A change of the search that is meant to change plans is recorded anew, and its commit says why.
    private const string Renew = "If the change is meant, renew the record: "
        + "KILNSHARE_RENEW=1 dotnet test tests/KilnShare.Core.Tests --filter FullyQualifiedName~PlansBySeed";

    [Fact]
    public void Plans_of_216_problems_are_those_recorded()
    {
        var now = SeedProblems.All.ToDictionary(p => p.Name, p => Hash(p.Solve()));
        Assert.Equal(216, now.Count);
        var path = Path.Combine(Sources.Root, Record);
        if (Environment.GetEnvironmentVariable("KILNSHARE_RENEW") == "1") File.WriteAllText(path, string.Concat(now.Select(p => $"{p.Key};{p.Value}\n")));
        var recorded = File.ReadLines(path).Select(l => l.Split(';')).ToDictionary(l => l[0], l => l[1]);
        var changed = now.Where(p => recorded.GetValueOrDefault(p.Key) != p.Value).Select(p => p.Key).ToList();
        Assert.True(changed.Count == 0, $"{changed.Count} of {now.Count} plans are not as recorded: {string.Join(", ", changed)}. {Renew}");
        Assert.Equal(recorded.Count, now.Count);
    }

    private static string Hash(string text) => Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text)).AsSpan(0, 8));
}
