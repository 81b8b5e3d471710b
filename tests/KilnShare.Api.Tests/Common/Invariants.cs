using KilnShare.Storage.Common;
using KilnShare.Storage.Setup;
using Npgsql;

namespace KilnShare.Api.Tests.Common;

/// <summary>What must hold in every studio, asked of the database as the auditor sees it.</summary>
public static class Invariants
{
    /// <summary>The files of queries, each a subject of its own.</summary>
    public static IReadOnlyList<string> Files { get; } = SqlFile.Named("invariants");

    /// <summary>The offences over all studios, each as the invariant's name and what offends.</summary>
    public static async Task<IReadOnlyList<string>> Offences(DatabaseLinks links)
    {
        await using var audit = new NpgsqlConnection(links.Audit + ";Pooling=false");
        await audit.OpenAsync(CancellationToken.None);
        return await Offences(audit);
    }

    /// <summary>The same through a connection that sees all studios.</summary>
    public static async Task<IReadOnlyList<string>> Offences(NpgsqlConnection connection)
    {
        var offences = new List<string>();
        foreach (var file in Files)
        {
            await using var query = new NpgsqlCommand(SqlFile.Read(file), connection);
            await using var row = await query.ExecuteReaderAsync(CancellationToken.None);
            while (await row.ReadAsync(CancellationToken.None))
                offences.Add($"{row.GetString(0)}: {row.GetString(2)} {(row.IsDBNull(3) ? "" : row.GetString(3))}");
        }

        return offences;
    }
}
