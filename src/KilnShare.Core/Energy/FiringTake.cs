using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>What a firing's energy was read off.</summary>
public enum TakeBasis
{
    /// <summary>Registers of its own meters.</summary>
    Meter,

    /// <summary>A register that other kilns hang on too, split by the shape of the forecasts.</summary>
    SharedMeter,

    /// <summary>Power over time.</summary>
    PowerSamples,

    /// <summary>Rated power times duty.</summary>
    Duty,

    /// <summary>Gas times its calorific value.</summary>
    Gas,
}

/// <summary>What a firing took.</summary>
/// <param name="From">The first moment that is known.</param>
/// <param name="Power">Power from then on.</param>
/// <param name="Kwh">All of it, to the watt-hour.</param>
/// <param name="Interpolated">True where a part of it was filled in or worked out rather than read.</param>
/// <param name="Basis">What it was read off.</param>
public sealed record FiringTake(Instant From, PowerCurve Power, decimal Kwh, bool Interpolated, TakeBasis Basis)
{
    /// <summary>The last moment that is known.</summary>
    public Instant To => From + Duration.FromSeconds(Power.EndSeconds[^1]);

    /// <summary>The energy between two instants, both within what is known: even power between two readings.</summary>
    /// <param name="from">From.</param>
    /// <param name="to">To.</param>
    /// <param name="zone">The studio's, for a refusal.</param>
    public Result<MeteredEnergy> Between(Instant from, Instant to, DateTimeZone zone)
    {
        if (to < from || from < From || to > To)
            return Refusal.Rule(
                "energy.interval-not-metered", $"What was read reaches from {Moments.Of(From, zone)} to {Moments.Of(To, zone)}. Ask within it.", "/from");
        var kwh = KwhUntil((to - From).TotalSeconds) - KwhUntil((from - From).TotalSeconds);
        return new MeteredEnergy(
            Math.Round((decimal)kwh, 3, MidpointRounding.AwayFromZero), Interpolated || IsBetweenReadings(from) || IsBetweenReadings(to));
    }

    /// <summary>Several meters of one firing together.</summary>
    public static FiringTake Sum(IReadOnlyList<FiringTake> parts)
    {
        if (parts.Count == 1) return parts[0];
        var from = parts.Min(p => p.From);
        double[] ends = [.. parts.SelectMany(p => p.Power.EndSeconds.Select(e => (p.From - from).TotalSeconds + e)).Append(0).Distinct().Order()];
        var kw = new double[ends.Length];
        for (var i = 1; i < ends.Length; i++) kw[i] = parts.Sum(p => p.KwAt((ends[i] + ends[i - 1]) / 2 - (p.From - from).TotalSeconds));
        return new FiringTake(
            from, new PowerCurve(ends, kw), parts.Sum(p => p.Kwh), parts.Any(p => p.Interpolated),
            parts.Any(p => p.Basis == TakeBasis.SharedMeter) ? TakeBasis.SharedMeter : parts[0].Basis);
    }

    private bool IsBetweenReadings(Instant at) => Power.EndSeconds.All(e => Math.Abs(e - (at - From).TotalSeconds) > 0.5);

    private double KwAt(double seconds)
    {
        for (var i = 1; i < Power.EndSeconds.Count; i++)
        {
            if (seconds > Power.EndSeconds[i - 1] && seconds <= Power.EndSeconds[i]) return Power.Kw[i];
        }
        return 0;
    }

    private double KwhUntil(double seconds) => Power.KwhBetween(0, seconds);
}
