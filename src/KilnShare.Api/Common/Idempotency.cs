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

/// <summary>
/// The same key gets the same answer: its row is written in the transaction of the effect, and only with an effect. Tries at the same moment meet at the row,
/// also in two services: whoever comes later waits until the first has committed or has been refused.
/// </summary>
public sealed class Idempotency(KilnShareDb db, IClock clock)
{
    private const string Header = "Idempotency-Key";
    private (Caller Caller, IdempotencyKey Key)? asked;

    /// <summary>What a handler answers where another try with its key was faster: its answer takes the place of this one.</summary>
    public static IResult TakenMeanwhile =>
        Problems.Answer(503, "service.busy", $"Another try is being answered. Try again in a moment with the same {Header}.", null, null, null);

    /// <summary>True where the answer to this request is kept under its key.</summary>
    public static bool IsKept(HttpContext context) =>
        (context.GetEndpoint() ?? context.Features.Get<IExceptionHandlerFeature>()?.Endpoint)?.Metadata.GetMetadata<KeyUse>() is { } use
            && (use.IsNeeded || HasKey(context));

    /// <summary>True where the request names a key.</summary>
    public static bool HasKey(HttpContext context) => context.Request.Headers.ContainsKey(Header);

    /// <summary>What to do about an answer that may have come after the effect: whether the effect is there, nobody can say.</summary>
    public static string HowToRetry(HttpContext context) =>
        IsKept(context) ? $"Try again in a moment with the same {Header}."
        : !HttpMethods.IsPost(context.Request.Method) || context.Request.Path.StartsWithSegments("/v1/calculations", StringComparison.Ordinal)
        ? "Try again in a moment."
        : "Look whether it was written all the same, and if not try again in a moment.";

    /// <summary>The key of this request, or what is wrong with it.</summary>
    /// <param name="context">The request.</param>
    /// <param name="body">Its body as it was read; null where it has none.</param>
    public static Result<IdempotencyKey> Read(HttpContext context, object? body)
    {
        var key = context.Request.Headers[Header].ToString();
        if (key.Length is 0 or > StudioLimits.MaxIdempotencyKey || !key.All(c => c is > ' ' and < (char)127))
        {
            return Refusal.Invalid(
                "request.idempotency-key",
                $"Send an Idempotency-Key of 1 to {StudioLimits.MaxIdempotencyKey} visible ASCII characters, a new one for each thing you want done; send it "
                    + $"again with a retry.");
        }

        var head = Encoding.UTF8.GetBytes($"{context.Request.Method} {context.Request.Path}\n");
        return new IdempotencyKey(
            key, SHA256.HashData([.. head, .. JsonSerializer.SerializeToUtf8Bytes(body, body?.GetType() ?? typeof(object), Json.Options)]));
    }

    /// <summary>Whose key the answer of this request is kept under.</summary>
    public void Ask(Caller caller, IdempotencyKey key) => asked = (caller, key);

    /// <summary>The answer once given under this key; null when there was none yet.</summary>
    public async Task<IResult?> Replay(CancellationToken cancellation)
    {
        var (caller, key) = asked!.Value;
        var row = await db.Set<IdempotencyRow>().AsNoTracking().SingleOrDefaultAsync(
            r => r.StudioId == caller.StudioId && r.MemberId == caller.MemberId && r.Key == key.Key, cancellation);
        if (row is null) return null;
        return row.RequestHash.AsSpan().SequenceEqual(key.RequestHash)
            ? new Replayed(row)
            : Problems.Of(Refusal.Rule(
                "request.idempotency-key-reused", "This Idempotency-Key was used for another request. Use a new one for each thing you want done."));
    }

    /// <summary>
    /// Takes the key for an answer that is yet to be made, first thing in the transaction. False: another request has it; roll back and replay.
    /// </summary>
    public Task<bool> Hold(CancellationToken cancellation) => Insert(0, "", null, cancellation);

    /// <summary>Keeps the answer under the key that was taken, in the same transaction.</summary>
    public async Task Keep(int status, string body, string? location, long? version, CancellationToken cancellation)
    {
        var (caller, key) = asked!.Value;
        await db.Database.ExecuteSqlAsync(
            $"""
            update idempotency set status = {status}, body = {body}, location = {location}, version = {version}
            where studio_id = {caller.StudioId.Value} and member_id = {caller.MemberId.Value} and key = {key.Key}
            """,
            cancellation);
    }

    /// <summary>
    /// Takes the key for an answer that is known, first thing in the write transaction; nothing to take where the request names none. False: another request
    /// has it; roll back and answer <see cref="TakenMeanwhile"/>.
    /// </summary>
    public Task<bool> Claim<T>(int status, T answer, string? location, CancellationToken cancellation) =>
        asked is null ? Task.FromResult(true) : Insert(status, JsonSerializer.Serialize(answer, Json.Options), location, cancellation);

    private async Task<bool> Insert(int status, string body, string? location, CancellationToken cancellation)
    {
        var (caller, key) = asked!.Value;
        return await db.Database.ExecuteSqlAsync(
            $"""
            insert into idempotency (studio_id, member_id, key, request_hash, status, body, location, created_at)
            values ({caller.StudioId.Value}, {caller.MemberId.Value}, {key.Key}, {key.RequestHash}, {status}, {body}, {location}, {clock.GetCurrentInstant()})
            on conflict do nothing
            """,
            cancellation) == 1;
    }

    private sealed class Replayed(IdempotencyRow row) : IResult
    {
        public Task ExecuteAsync(HttpContext httpContext)
        {
            var response = httpContext.Response;
            response.StatusCode = row.Status;
            response.ContentType = "application/json; charset=utf-8";
            response.Headers["Idempotent-Replayed"] = "true";
            if (row.Location is { } location) response.Headers.Location = location;
            Versions.Answers(httpContext, row.Version);
            return response.WriteAsync(row.Body, httpContext.RequestAborted);
        }
    }
}
