using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using Npgsql;

namespace KilnShare.Storage.Studios;

/// <summary>Whom a token speaks for.</summary>
/// <param name="MemberId">The member.</param>
/// <param name="TokenId">The token.</param>
/// <param name="Name">The member's name.</param>
/// <param name="Role">What the member may do.</param>
/// <param name="StudioIsClosed">True where the studio can only be read.</param>
public sealed record TokenHolder(Id<Member> MemberId, Id<AccessToken> TokenId, string Name, Role Role, bool StudioIsClosed);

/// <summary>Finds the holder of a token, at each request anew: a revocation counts at once.</summary>
public sealed class TokenLookup(KilnShareDb db)
{
    private const string HolderSql =
        """
        select m.id, t.id, m.name, m.role, s.closed_at is not null
        from access_token t join member m on m.studio_id = t.studio_id and m.id = t.member_id join studio s on s.studio_id = t.studio_id
        where t.studio_id = $1 and t.hash = $2 and t.revoked_at is null and m.archived_at is null and (t.expires_at is null or t.expires_at > $3)
        """;

    /// <summary>Whom the token of this request speaks for; null before it was found, and where nobody asked.</summary>
    public TokenHolder? Holder { get; private set; }

    /// <summary>The holder of a good token; null for any other.</summary>
    /// <param name="studio">The studio the token names.</param>
    /// <param name="hash">SHA-256 of the token.</param>
    /// <param name="now">The time.</param>
    /// <param name="keepOpen">True: the connection stays open, with this studio set, for what the request reads next, until it is let go.</param>
    /// <param name="ahead">What the request will ask first, where that is known: it is asked in the same journey. Only with a connection kept open.</param>
    /// <param name="cancellation">Stops it.</param>
    public async Task<TokenHolder?> Find(
        Id<Studio> studio, byte[] hash, Instant now, bool keepOpen, (RowQuestion Question, Guid Id)? ahead, CancellationToken cancellation)
    {
        // Studio and holder in one journey to the server. Opened here and not by EF, the connection is not closed by it either.
        var connection = (NpgsqlConnection)db.Database.GetDbConnection();
        await connection.OpenAsync(cancellation);
        try
        {
            return Holder = await Read(connection, studio, hash, now, ahead, cancellation);
        }
        finally
        {
            if (!keepOpen) await connection.CloseAsync();
        }
    }

    /// <summary>Lets a connection go that was kept open: at the end of the request, or before something that takes long.</summary>
    public async Task LetGo()
    {
        await db.PutAway();
        await db.Database.GetDbConnection().CloseAsync();
    }

    private async Task<TokenHolder?> Read(
        NpgsqlConnection connection, Id<Studio> studio, byte[] hash, Instant now, (RowQuestion Question, Guid Id)? ahead, CancellationToken cancellation)
    {
        var batch = new NpgsqlBatch(connection)
        {
            BatchCommands =
            {
                new NpgsqlBatchCommand(
                    StudioConnectionInterceptor.SetStudioSql) { Parameters = { new NpgsqlParameter<string> { TypedValue = studio.ToString() } } },
                new NpgsqlBatchCommand(HolderSql)
                {
                    Parameters =
                    {
                        new NpgsqlParameter<Guid> { TypedValue = studio.Value },
                        new NpgsqlParameter<byte[]> { TypedValue = hash },
                        new NpgsqlParameter<Instant> { TypedValue = now },
                    },
                },
            },
        };
        if (ahead is { } asked) batch.BatchCommands.Add(asked.Question.About(studio.Value, asked.Id));
        var reader = await batch.ExecuteReaderAsync(cancellation);
        try
        {
            await reader.NextResultAsync(cancellation);
            if (!await reader.ReadAsync(cancellation)) return null;
            var holder = new TokenHolder(new Id<Member>(
                reader.GetGuid(0)), new Id<AccessToken>(reader.GetGuid(1)), reader.GetString(2), Enum.Parse<Role>(reader.GetString(3)), reader.GetBoolean(4));
            if (ahead is not { } question) return holder;
            await reader.NextResultAsync(cancellation);
            db.Ahead = new RowAhead(question.Question, studio.Value, question.Id, reader);
            return holder;
        }
        finally
        {
            if (db.Ahead is null) await reader.DisposeAsync();
        }
    }
}
