using System.Buffers;
using System.Text;
using System.Text.Json.Nodes;
using KilnShare.Api.Access;
using KilnShare.Storage;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Http.Metadata;

namespace KilnShare.Api.Common;

/// <summary>That a route keeps its answers under an Idempotency-Key.</summary>
/// <param name="IsNeeded">The key must be sent. Where the first release did without, it may be left out.</param>
/// <param name="ByHandler">The handler takes the key in a transaction of its own, since it decides without a connection or locks something first.</param>
public sealed record KeyUse(bool IsNeeded, bool ByHandler)
{
    /// <summary>The field of the answer that is told once and kept nowhere; null where there is none.</summary>
    public string? Secret { get; init; }
}

/// <summary>Answers a retry as the first try was answered.</summary>
public static class KeptAnswers
{
    /// <summary>Takes a key where one is sent. The handler runs in the transaction that keeps its answer.</summary>
    public static RouteHandlerBuilder TakesKey(this RouteHandlerBuilder route, string? secret = null) =>
        route.Uses(new KeyUse(false, false) { Secret = secret });

    /// <summary>Refuses to go without a key. The handler runs in the transaction that keeps its answer.</summary>
    public static RouteHandlerBuilder NeedsKey(this RouteHandlerBuilder route) => route.Uses(new KeyUse(true, false));

    /// <summary>Leaves the key to the handler, which asks <see cref="Idempotency.Claim"/> where it writes.</summary>
    public static RouteHandlerBuilder ClaimsKey(this RouteHandlerBuilder route, bool isNeeded = false) => route.Uses(new KeyUse(isNeeded, true));

    private static RouteHandlerBuilder Uses(this RouteHandlerBuilder route, KeyUse use) =>
        route.WithMetadata(use).AddEndpointFilter((invocation, next) => Answer(use, invocation, next));

    private static async ValueTask<object?> Answer(KeyUse use, EndpointFilterInvocationContext invocation, EndpointFilterDelegate next)
    {
        var context = invocation.HttpContext;
        if (!use.IsNeeded && !Idempotency.HasKey(context)) return await next(invocation);
        var bodyType = context.GetEndpoint()!.Metadata.GetMetadata<IAcceptsMetadata>()?.RequestType;
        if (!Idempotency.Read(context, invocation.Arguments.FirstOrDefault(a => a is not null && a.GetType() == bodyType)).TryGet(out var key, out var refusal))
            return Problems.Of(refusal);
        var kept = context.RequestServices.GetRequiredService<Idempotency>();
        kept.Ask(context.Features.Get<Caller>()!, key);
        return use.ByHandler ? await AfterHandler(kept, invocation, next) : await WithHandler(use, kept, invocation, next);
    }

    /// <summary>A try that is refused looks again: what it stumbled over may be the effect of another with its key, whose row is then there.</summary>
    private static async Task<object?> AfterHandler(Idempotency kept, EndpointFilterInvocationContext invocation, EndpointFilterDelegate next)
    {
        var cancellation = invocation.HttpContext.RequestAborted;
        if (await kept.Replay(cancellation) is { } before) return before;
        var result = await next(invocation);
        return IsGood(result) ? result : await kept.Replay(cancellation) ?? result;
    }

    /// <summary>Row, effect and answer in one transaction; others with the key wait at the row.</summary>
    private static async Task<object?> WithHandler(KeyUse use, Idempotency kept, EndpointFilterInvocationContext invocation, EndpointFilterDelegate next)
    {
        var (context, cancellation) = (invocation.HttpContext, invocation.HttpContext.RequestAborted);
        var db = context.RequestServices.GetRequiredService<KilnShareDb>();
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        if (!await kept.Hold(cancellation))
        {
            await writing.RollbackAsync(cancellation);
            return await kept.Replay(cancellation) ?? Idempotency.TakenMeanwhile;
        }

        var result = await next(invocation);
        if (!IsGood(result))
        {
            await writing.RollbackAsync(cancellation);
            return result;
        }

        await ((IResult)result!).ExecuteAsync(context); // into memory: what is kept is what is sent
        var response = context.Response;
        await kept.Keep(
            response.StatusCode, Without(use.Secret, await context.Features.GetRequiredFeature<AnswerBuffer>().Written()), response.Headers.Location,
                Versions.Answers(context), cancellation);
        await writing.CommitAsync(cancellation);
        return Results.Empty;
    }

    private static bool IsGood(object? result) => result is IStatusCodeHttpResult { StatusCode: >= 200 and < 300 };

    private static string Without(string? secret, ReadOnlySequence<byte> body)
    {
        var text = Encoding.UTF8.GetString(body);
        if (secret is null) return text;
        var told = JsonNode.Parse(text)!.AsObject();
        told[secret] = null;
        return told.ToJsonString(Json.Options);
    }
}
