using System.Globalization;
using System.Threading.RateLimiting;
using KilnShare.Api.Access;
using KilnShare.Api.Common;

namespace KilnShare.Api.Hosting;

/// <summary>How much one caller may ask, and how long one request may take.</summary>
public static class Limits
{
    private const int UsualPerToken = 12_000; // 200 a second: a script may be busy, a runaway loop is slowed
    private const int UsualAnonymous = 600;
    private const int UsualSeconds = 30;
    private const int MostAtOnce = 24;
    private const int LongestQueue = 48;
    private const int SegmentsPerMinute = 6;
    private static readonly TimeSpan UsualRetry = TimeSpan.FromSeconds(10);
    private static readonly TimeSpan Minute = TimeSpan.FromMinutes(1);

    /// <summary>Registers the limits: requests a minute and at once, by token, or by address where there is none; 0 switches a limit off.</summary>
    public static void AddLimits(this IServiceCollection services, IConfiguration configuration)
    {
        var perToken = Setting(configuration, "KILNSHARE_RATE_PER_TOKEN", UsualPerToken);
        var anonymous = Setting(configuration, "KILNSHARE_RATE_ANONYMOUS", UsualAnonymous);
        services.AddSingleton(s => new TokenGuesses(anonymous, s.GetRequiredService<TimeProvider>()));
        services.AddRateLimiter(o =>
        {
            o.GlobalLimiter = PartitionedRateLimiter.CreateChained(
                PartitionedRateLimiter.Create<HttpContext, string>(c => Rate(c, perToken, anonymous)),
                PartitionedRateLimiter.Create<HttpContext, string>(c => AtOnce(c, perToken)));
            o.OnRejected = async (rejected, _) =>
            {
                await Refuse(rejected.HttpContext, rejected.Lease.TryGetMetadata(MetadataName.RetryAfter, out var span) ? span : UsualRetry);
            };
        });
        services.AddRequestTimeouts(o => o.DefaultPolicy = new()
        {
            Timeout = TimeSpan.FromSeconds(Setting(configuration, "KILNSHARE_REQUEST_SECONDS", UsualSeconds)),
            WriteTimeoutResponse = context =>
            {
                context.RequestAborted = CancellationToken.None; // the token that just ran out would cut the answer off too
                return Problems.Answer(
                    503, "service.too-slow", "The request took too long and was given up. " + Idempotency.HowToRetry(context), null, null, null)
                        .ExecuteAsync(context);
            },
        });
    }

    /// <summary>Answers that it is too much, and when to come again.</summary>
    internal static Task Refuse(HttpContext context, TimeSpan wait)
    {
        context.Response.Headers.RetryAfter = Math.Max(1, (int)Math.Ceiling(wait.TotalSeconds)).ToString(CultureInfo.InvariantCulture);
        return Problems.Answer(429, "request.too-often", "Too many requests. Wait as long as Retry-After says, in seconds.", null, null, null)
            .ExecuteAsync(context);
    }

    private static int Setting(IConfiguration configuration, string name, int usual) =>
        configuration[name] is not { } text ? usual
        : int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number
        : throw new InvalidOperationException($"{name} takes a whole number, 0 for no limit.");

    private static RateLimitPartition<string> Rate(HttpContext context, int perToken, int anonymous)
    {
        var caller = context.Features.Get<Caller>();
        var permits = caller is null ? anonymous : perToken;
        return permits == 0 || IsProbe(context)
            ? RateLimitPartition.GetNoLimiter("free")
            : RateLimitPartition.GetSlidingWindowLimiter(KeyOf(context, caller), _ => new SlidingWindowRateLimiterOptions
            {
                PermitLimit = permits,
                Window = Minute,
                SegmentsPerWindow = SegmentsPerMinute,
            });
    }

    private static RateLimitPartition<string> AtOnce(HttpContext context, int perToken) =>
        perToken == 0 || IsProbe(context)
            ? RateLimitPartition.GetNoLimiter("free")
            : RateLimitPartition.GetConcurrencyLimiter(KeyOf(context, context.Features.Get<Caller>()), _ => new ConcurrencyLimiterOptions
            {
                PermitLimit = MostAtOnce,
                QueueLimit = LongestQueue,
            });

    private static string KeyOf(HttpContext context, Caller? caller) =>
        caller is null ? "address " + context.Connection.RemoteIpAddress : "token " + caller.TokenId;

    private static bool IsProbe(HttpContext context) => AccessTable.RowOf(context) == AccessTable.Anyone;
}
