using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Costs;

/// <summary>What a member owes who withdraws: the later, the more.</summary>
/// <param name="Steps">Before the earliest of them withdrawing costs nothing.</param>
public sealed record WithdrawalPolicy(IReadOnlyList<WithdrawalStep> Steps)
{
    /// <summary>Withdrawing costs nothing.</summary>
    public static WithdrawalPolicy Free { get; } = new([]);

    /// <summary>
    /// The fee for withdrawing so long before the kiln is to be switched on (below 0: after that): the dearest of the steps that hold, so that
    /// it never falls as time goes by.
    /// </summary>
    /// <param name="quotedMinor">What the booking was quoted; 0 where it was not quoted.</param>
    /// <param name="before">How long before.</param>
    public long FeeMinor(long quotedMinor, Duration before) =>
        Steps.Where(s => before <= Duration.FromHours(s.HoursBefore)).Select(s => s.FeeMinor(quotedMinor)).DefaultIfEmpty(0).Max();
}

/// <summary>One step of a withdrawal policy: a fixed fee, a part of what was quoted, or both.</summary>
/// <param name="HoursBefore">From so many hours before the kiln is to be switched on.</param>
/// <param name="Percent">Of what was quoted, 0 to 100.</param>
/// <param name="FlatMinor">Fixed, minor units.</param>
public sealed record WithdrawalStep(int HoursBefore, int Percent, long FlatMinor = 0)
{
    /// <summary>What it comes to; the part is rounded once.</summary>
    public long FeeMinor(long quotedMinor) => FlatMinor + MinorUnits.Rounded(Math.Max(0, quotedMinor) * (decimal)Percent / 100);
}
