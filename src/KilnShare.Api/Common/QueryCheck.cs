using System.Collections.Concurrent;
using System.Globalization;
using System.Reflection;
using Microsoft.AspNetCore.Http.Metadata;

namespace KilnShare.Api.Common;

/// <summary>
/// Holds a query to what its call takes, as a body is held to its fields: a filter misspelt would else answer with everything. A value that is missing or
/// cannot be read is named.
/// </summary>
public sealed class QueryCheck(RequestDelegate next)
{
    private const int LongestShown = 100;
    private readonly ConcurrentDictionary<Endpoint, Dictionary<string, Taken>> calls = new();

    private sealed record Taken(bool IsNeeded, Func<string, bool> Reads);

    /// <summary>Answers 400, or passes on.</summary>
    public Task InvokeAsync(HttpContext context)
    {
        if (context.GetEndpoint() is not RouteEndpoint endpoint || endpoint.Metadata.GetMetadata<MethodInfo>() is not { } handler) return next(context);
        var refusal = Check(context.Request.Query, calls.GetOrAdd(endpoint, _ => TakenBy(endpoint, handler)));
        return refusal is null ? next(context) : refusal.ExecuteAsync(context);
    }

    private static IResult? Check(IQueryCollection query, Dictionary<string, Taken> taken)
    {
        foreach (var (name, values) in query)
        {
            if (!taken.TryGetValue(name, out var how)) return Unknown(name, taken.Keys);
            if (values.Count > 1) return Refuse("request.duplicate-parameter", $"The query says {name} more than once. Say it once.", name);
            if (!string.IsNullOrEmpty(values) && !how.Reads(values.ToString()))
                return Refuse("request.malformed", $"The query value {name} could not be read. The document at /openapi/v1.json says what it takes.", name);
        }

        return taken.FirstOrDefault(t => t.Value.IsNeeded && !query.ContainsKey(t.Key)).Key is { } missing
            ? Refuse("request.missing-parameter",
                $"The query does not say {missing}, which this call needs. Add {missing}=… behind a question mark to the path.", missing) : null;
    }

    private static IResult Unknown(string name, ICollection<string> names) => Refuse(
        "request.unknown-parameter",
        names.Count == 0 ? "This call takes nothing in its query."
            : $"This call takes no such query value. It takes: {string.Join(", ", names)}. Check the spelling; case counts.",
        name.Length > LongestShown ? name[..LongestShown] : name);

    private static IResult Refuse(string code, string detail, string name) => Problems.Answer(400, code, detail, "/" + Problems.Escape(name), null, null);

    /// <summary>What the handler reads out of the query: whatever is read from text, and does not stand in the path.</summary>
    private static Dictionary<string, Taken> TakenBy(RouteEndpoint endpoint, MethodInfo handler)
    {
        var (body, nulls, taken) = (endpoint.Metadata.GetMetadata<IAcceptsMetadata>()?.RequestType, new NullabilityInfoContext(), new Dictionary<string, Taken>(
            StringComparer.Ordinal));
        foreach (var parameter in handler.GetParameters().Where(p => p.ParameterType != body && endpoint.RoutePattern.GetParameter(p.Name!) is null))
        {
            if (ReaderOf(Nullable.GetUnderlyingType(parameter.ParameterType) ?? parameter.ParameterType) is { } reads)
                taken[parameter.Name!] = new Taken(nulls.Create(parameter).WriteState == NullabilityState.NotNull && !parameter.HasDefaultValue, reads);
        }

        return taken;
    }

    private static Func<string, bool>? ReaderOf(Type type) => type == typeof(string) ? _ => true
        : Array.Exists(type.GetInterfaces(), i => i.IsGenericType && i.GetGenericTypeDefinition() == typeof(IParsable<>))
        ? typeof(QueryCheck).GetMethod(nameof(Reads), BindingFlags.NonPublic | BindingFlags.Static)!.MakeGenericMethod(type)
            .CreateDelegate<Func<string, bool>>() : null;

    private static bool Reads<T>(string text)
        where T : IParsable<T> => T.TryParse(text, CultureInfo.InvariantCulture, out _);
}
