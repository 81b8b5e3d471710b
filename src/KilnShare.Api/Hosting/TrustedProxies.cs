using System.Net;
using Microsoft.AspNetCore.HttpOverrides;

namespace KilnShare.Api.Hosting;

/// <summary>Whose word counts about where a request comes from: only that of proxies named in the settings.</summary>
internal static class TrustedProxies
{
    private const string Setting = "KILNSHARE_TRUSTED_PROXIES";

    /// <summary>
    /// Takes the caller's address and scheme from X-Forwarded-For and X-Forwarded-Proto where a named proxy sent them; without the setting nobody's
    /// count.
    /// </summary>
    public static void UseTrustedProxies(this WebApplication app)
    {
        if (Read(app.Configuration) is { } options) app.UseForwardedHeaders(options);
    }

    /// <summary>Reads the setting; null where it names nobody.</summary>
    /// <exception cref="InvalidOperationException">It cannot be read; the message says what it takes.</exception>
    public static ForwardedHeadersOptions? Read(IConfiguration configuration)
    {
        var named = (configuration[Setting] ?? "").Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        if (named.Length == 0) return null;
        var options = new ForwardedHeadersOptions
        {
            ForwardedHeaders = ForwardedHeaders.XForwardedFor | ForwardedHeaders.XForwardedProto,
            ForwardLimit = null, // as far back as named proxies go, and not further
        };
        options.KnownProxies.Clear();
        options.KnownIPNetworks.Clear();
        foreach (var one in named)
        {
            if (IPAddress.TryParse(one, out var address)) options.KnownProxies.Add(address);
            else if (System.Net.IPNetwork.TryParse(one, out var network)) options.KnownIPNetworks.Add(network);
            else throw new InvalidOperationException(
                $"{Setting} takes addresses and networks with commas between, such as 127.0.0.1,10.0.0.0/8; one of those given is neither.");
        }

        return options;
    }
}
