using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>A firing that hangs on a meter with others, with the power its kiln is forecast to take.</summary>
/// <param name="From">When it was switched on.</param>
/// <param name="Power">Forecast power from then on.</param>
public sealed record MeterUser(Instant From, PowerCurve Power)
{
    /// <summary>Forecast energy between two instants, kWh.</summary>
    public double KwhBetween(Instant from, Instant to) => Power.KwhBetween((from - From).TotalSeconds, (to - From).TotalSeconds);
}

/// <summary>Splits a meter that several kilns share.</summary>
public static class SharedMeter
{
    /// <summary>
    /// One firing's part between two instants: of what the register grew from one reading to the next each firing has the part that its forecast
    /// has of all forecasts then. What grew while no forecast asks for anything is left to nobody.
    /// </summary>
    /// <remarks>Source: derived. Units: kWh. Accuracy: of the forecasts' ratio; parts of all firings add up to the register's growth.</remarks>
    /// <param name="series">All readings of the meter.</param>
    /// <param name="users">All firings on it.</param>
    /// <param name="mine">Which of them is asked for.</param>
    /// <param name="from">Its first reading.</param>
    /// <param name="to">Its last reading.</param>
    public static Result<FiringTake> Split(MeterSeries series, IReadOnlyList<MeterUser> users, int mine, Instant from, Instant to)
    {
        Instant[] ends = [from, .. series.ReadAt.Where(at => at > from && at < to), to];
        var (seconds, kw, kwh) = (new double[ends.Length], new double[ends.Length], 0.0);
        for (var i = 1; i < ends.Length; i++)
        {
            if (!series.Between(ends[i - 1], ends[i]).TryGet(out var grown, out var refusal)) return refusal;
            var asked = users.Sum(u => u.KwhBetween(ends[i - 1], ends[i]));
            var part = asked > 0 ? (double)grown.Kwh * users[mine].KwhBetween(ends[i - 1], ends[i]) / asked : 0;
            seconds[i] = (ends[i] - from).TotalSeconds;
            kw[i] = part / (ends[i] - ends[i - 1]).TotalHours;
            kwh += part;
        }
        return new FiringTake(
            from, new PowerCurve(seconds, kw), Math.Round((decimal)kwh, 3, MidpointRounding.AwayFromZero), users.Count > 1, TakeBasis.SharedMeter);
    }
}
