namespace KilnShare.Core.Energy;

/// <summary>Energy minute by minute from the start.</summary>
/// <param name="Kwh">Of each minute.</param>
internal sealed record MinuteEnergy(double[] Kwh)
{
    /// <summary>The energy of a power curve, a step's share going to each minute it touches.</summary>
    public static MinuteEnergy Of(PowerCurve power)
    {
        var kwh = new double[(int)Math.Ceiling(power.EndSeconds[^1] / 60)];
        for (var i = 1; i < power.EndSeconds.Count; i++)
        {
            var (at, end) = (power.EndSeconds[i - 1], power.EndSeconds[i]);
            while (at < end)
            {
                var minute = Math.Min((int)(at / 60), kwh.Length - 1);
                var next = Math.Min(end, Math.Max(at, (minute + 1) * 60.0));
                if (next <= at) next = end;
                kwh[minute] += power.Kw[i] * (next - at) / 3600;
                at = next;
            }
        }
        return new MinuteEnergy(kwh);
    }
}
