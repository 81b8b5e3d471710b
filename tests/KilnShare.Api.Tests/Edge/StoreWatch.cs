using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Edge;

/// <summary>Says whether a refused request stored anything, at little cost: rows are compared only where a transaction took a number.</summary>
internal sealed class StoreWatch(Service service)
{
    private readonly DatabaseWatch rows = new(service);
    private readonly NpgsqlDataSource source = NpgsqlDataSource.Create(service.Links.Admin);
    private string? last;
    private string? digest;

    /// <summary>What a refused request left behind; null where nothing.</summary>
    public async Task<string?> Stored(Reply reply)
    {
        await using var command = source.CreateCommand("select pg_snapshot_xmax(pg_current_snapshot())::text");
        var now = (string)(await command.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
        if (now == last) return null;
        var before = digest;
        (last, digest) = (now, await rows.Read());
        if ((int)reply.Status < 400 || before is null || before == digest) return null;
        var lines = before.Split('\n');
        return "stored: " + string.Join(", ", digest.Split('\n').Where((line, i) => line != lines[i]));
    }
}
