using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using KilnShare.Api.Access;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Common;
using Microsoft.AspNetCore.Diagnostics;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Common;

/// <summary>A member's key with what was asked under it.</summary>
/// <param name="Key">The Idempotency-Key header.</param>
/// <param name="RequestHash">SHA-256 of method, path and body.</param>
public sealed record IdempotencyKey(string Key, byte[] RequestHash);

/// <summary>The same key gets the same answer: its row is written in the transaction of the effect, and only with an effect.</summary>
public sealed class Idempotency(KilnShareDb db, IClock clock)
{
    private const string Header = "Idempotency-Key";

    /// <summary>True where the route of this request keeps the answers given under a key.</summary>
    public static bool IsKept(HttpContext context) =>
        (context.GetEndpoint() ?? context.Features.Get<IExceptionHandlerFeature>()?.Endpoint)?.Metadata.GetMetadata<System.Reflection.MethodInfo>()?.GetParameters().Any(p => p.ParameterType == typeof(Idempotency)) == true;

    /// <summary>What to do about an answer that may have come after the effect: whether the effect is there, nobody can say.</summary>
    public static string HowToRetry(HttpContext context) =>
        IsKept(context) ? $"Try again in a moment with the same {Header}."
        : !HttpMethods.IsPost(context.Request.Method) || context.Request.Path.StartsWithSegments("/v1/calculations", StringComparison.Ordinal)
        ? "Try again in a moment."
        : "Look whether it was written all the same, and if not try again in a moment.";

    /// <summary>The key of this request, or what is wrong with it.</summary>
    public static Result<IdempotencyKey> Read<T>(HttpContext context, T body)
    {
        var key = context.Request.Headers[Header].ToString();
        if (key.Length is 0 or > StudioLimits.MaxIdempotencyKey || !key.All(c => c is > ' ' and < (char)127))
        {
            return Refusal.Invalid(
                "request.idempotency-key",
                $"Send an Idempotency-Key of 1 to {StudioLimits.MaxIdempotencyKey} visible ASCII characters, a new one for each thing you want done; send it again with a retry.");
        }

        var head = Encoding.UTF8.GetBytes($"{context.Request.Method} {context.Request.Path}\n");
        return new IdempotencyKey(key, SHA256.HashData([.. head, .. JsonSerializer.SerializeToUtf8Bytes(body, Json.Options)]));
    }

    /// <summary>The answer once given under this key; null when there was none yet.</summary>
    public async Task<IResult?> Replay(Caller caller, IdempotencyKey key, CancellationToken cancellation)
    {
        var row = await db.Set<IdempotencyRow>().AsNoTracking().SingleOrDefaultAsync(
            r => r.StudioId == caller.StudioId && r.MemberId == caller.MemberId && r.Key == key.Key, cancellation);
        if (row is null) return null;
        return row.RequestHash.AsSpan().SequenceEqual(key.RequestHash)
            ? new Replayed(row.Status, row.Body)
            : Problems.Of(Refusal.Rule("request.idempotency-key-reused", "This Idempotency-Key was used for another request. Use a new one for each thing you want done."));
    }

    /// <summary>Claims the key for an answer, first thing in the write transaction. False: another request has it; roll back and replay.</summary>
    public async Task<bool> Claim<T>(Caller caller, IdempotencyKey key, int status, T answer, CancellationToken cancellation)
    {
        var body = JsonSerializer.Serialize(answer, Json.Options);
        return await db.Database.ExecuteSqlAsync(
            $"""
            insert into idempotency (studio_id, member_id, key, request_hash, status, body, created_at)
            values ({caller.StudioId.Value}, {caller.MemberId.Value}, {key.Key}, {key.RequestHash}, {status}, {body}, {clock.GetCurrentInstant()})
            on conflict do nothing
            """,
            cancellation) == 1;
    }

    private sealed class Replayed(int status, string body) : IResult
    {
        public Task ExecuteAsync(HttpContext httpContext)
        {
            httpContext.Response.StatusCode = status;
            httpContext.Response.ContentType = "application/json; charset=utf-8";
            httpContext.Response.Headers["Idempotent-Replayed"] = "true";
            return httpContext.Response.WriteAsync(body, httpContext.RequestAborted);
        }
    }
}
