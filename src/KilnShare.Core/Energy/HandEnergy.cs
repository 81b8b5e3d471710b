using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>A while for which the elements were on for a part of the time.</summary>
/// <param name="Hours">How long.</param>
/// <param name="Duty">The part of that time, 0 to 1.</param>
public readonly record struct DutySpan(decimal Hours, decimal Duty);

/// <summary>Power at a moment.</summary>
/// <param name="At">When.</param>
/// <param name="Kw">How much.</param>
public readonly record struct PowerSample(Instant At, decimal Kw);

/// <summary>What a studio knows of a firing's energy where no register was read: exactly one of the three.</summary>
/// <param name="RatedKw">Power of the elements when on, with <paramref name="Duty"/>.</param>
/// <param name="Duty">How long and for what part of it they were on, from switching on.</param>
/// <param name="Samples">Power over time, as a clamp meter or a controller shows it.</param>
/// <param name="GasM3">Gas burnt, m³.</param>
/// <param name="KwhPerM3">Its calorific value, kWh/m³.</param>
public sealed record HandEnergy(
    decimal? RatedKw, IReadOnlyList<DutySpan> Duty, IReadOnlyList<PowerSample> Samples, decimal? GasM3, decimal? KwhPerM3)
{
    private const int KwhDecimals = 3;

    /// <summary>A hole between samples longer than this is filled in, and the figure marked.</summary>
    private const double LongestSilenceMinutes = 15;

    /// <summary>What the firing took, from when it was lit.</summary>
    /// <param name="litAt">When the kiln was switched on.</param>
    /// <param name="hours">How long it was on, where nothing else says so.</param>
    public FiringTake Take(Instant litAt, decimal hours)
    {
        if (Samples.Count > 0) return OfSamples();
        if (RatedKw is { } kw) return OfDuty(litAt, kw);
        var kwh = Rounded(GasM3!.Value * KwhPerM3!.Value);
        var seconds = (double)hours * 3600;
        return new FiringTake(litAt, new PowerCurve([0, seconds], [0, (double)(kwh / hours)]), kwh, true, TakeBasis.Gas);
    }

    private FiringTake OfDuty(Instant litAt, decimal ratedKw)
    {
        var (ends, kw) = (new List<double> { 0 }, new List<double> { 0 });
        foreach (var span in Duty)
        {
            ends.Add(ends[^1] + (double)span.Hours * 3600);
            kw.Add((double)(ratedKw * span.Duty));
        }
        var kwh = Rounded(Energy.Duty.Kwh(ratedKw, Duty.Select(d => (d.Hours, d.Duty))));
        return new FiringTake(litAt, new PowerCurve(ends, kw), kwh, true, TakeBasis.Duty);
    }

    /// <summary>Between two samples the mean of both.</summary>
    private FiringTake OfSamples()
    {
        var (ends, kw, kwh, silent) = (new List<double> { 0 }, new List<double> { 0 }, 0m, false);
        for (var i = 1; i < Samples.Count; i++)
        {
            var (step, mean) = (Samples[i].At - Samples[i - 1].At, (Samples[i].Kw + Samples[i - 1].Kw) / 2);
            ends.Add((Samples[i].At - Samples[0].At).TotalSeconds);
            kw.Add((double)mean);
            kwh += mean * (decimal)step.TotalHours;
            silent |= step.TotalMinutes > LongestSilenceMinutes;
        }
        return new FiringTake(Samples[0].At, new PowerCurve(ends, kw), Rounded(kwh), silent, TakeBasis.PowerSamples);
    }

    private static decimal Rounded(decimal kwh) => Math.Round(kwh, KwhDecimals, MidpointRounding.AwayFromZero);
}

/// <summary>A firing's energy written down by hand; written again, it stands for what was written before.</summary>
public sealed class UnmeteredEnergy(Id<Studio> studioId, Id<Firing> firingId, HandEnergy energy, Id<Member> memberId, Instant writtenAt)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>What is known.</summary>
    public HandEnergy Energy { get; set; } = energy;

    /// <summary>Who wrote it down.</summary>
    public Id<Member> MemberId { get; set; } = memberId;

    /// <summary>When.</summary>
    public Instant WrittenAt { get; set; } = writtenAt;
}
