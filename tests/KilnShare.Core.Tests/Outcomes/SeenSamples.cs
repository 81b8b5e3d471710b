using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Outcomes;
using NodaTime;
using static KilnShare.Core.Tests.CoFiring.Samples;

namespace KilnShare.Core.Tests.Outcomes;

/// <summary>Outcomes to be changed in one respect by a test.</summary>
internal static class SeenSamples
{
    /// <summary>One copy that came out good of a firing of that number, a day apart from the next.</summary>
    public static SeenCopies Seen(int firing, params Layer[] layers)
    {
        var at = Instant.FromUtc(2026, 1, 1, 8, 0) + Duration.FromDays(firing);
        return new SeenCopies(
            new Id<Firing>(new Guid(firing, 0, 0, new byte[8])), at.InUtc().Date, Aim(ConeSeries.SelfSupporting), Stoneware, layers.Length == 0
                ? [Coat(2)] : layers, OutcomeGrade.Good, [], 1)
        {
            StartedAt = at,
        };
    }

    public static FiringAim Aim(ConeSeries series, string cone = "6") => new(Glaze6.Kind, Cone.Parse(cone), series, Glaze6.Atmosphere);

    public static Layer Coat(int coats, string? glaze = null) => new(glaze is null ? White : White with { Name = glaze }, coats, null, null);
}
