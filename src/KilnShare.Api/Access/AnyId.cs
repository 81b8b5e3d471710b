using Microsoft.AspNetCore.Routing.Matching;

namespace KilnShare.Api.Access;

/// <summary>
/// Stands for <c>guid</c> in routes: a path with a malformed id is that path all the same, so that the caller is told of the id and not of the path. What has
/// a dot in it is a file beside the ids, and never one.
/// </summary>
internal sealed class AnyId : IRouteConstraint, IParameterLiteralNodeMatchingPolicy
{
    /// <inheritdoc/>
    public bool Match(HttpContext? httpContext, IRouter? route, string routeKey, RouteValueDictionary values, RouteDirection routeDirection) =>
        values[routeKey] is not string text || !text.Contains('.', StringComparison.Ordinal);

    /// <summary>What another route spells out beside the ids is never an id.</summary>
    public bool MatchesLiteral(string parameterName, string literal) => false;
}
