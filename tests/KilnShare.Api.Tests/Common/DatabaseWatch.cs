using Npgsql;

namespace KilnShare.Api.Tests.Common;

/// <summary>Sees whether anything was stored: a digest over every row of every table, read as the set-up login.</summary>
public sealed class DatabaseWatch(Service service) : IAsyncDisposable
{
    private readonly NpgsqlConnection connection = new(service.Links.Admin + ";Pooling=false");

    /// <summary>Count and digest of every table.</summary>
    public async Task<string> Read()
    {
        if (connection.State != System.Data.ConnectionState.Open) await connection.OpenAsync(TestContext.Current.CancellationToken);
        await using var command = new NpgsqlCommand(
            """
            select string_agg(t.relname || ' ' || (xpath('/row/d/text()', query_to_xml(format(
              'select count(*) || '' '' || coalesce(md5(string_agg(r::text, '','' order by r::text)), '''') as d from %I r', t.relname), false, true, '')))[1]::text, e'\n' order by t.relname)
            from pg_class t where t.relkind = 'r' and t.relnamespace = 'public'::regnamespace
            """,
            connection);
        return (string)(await command.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
    }

    public ValueTask DisposeAsync() => connection.DisposeAsync();
}
