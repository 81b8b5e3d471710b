using KilnShare.Core.Cones;

namespace KilnShare.Core.Energy;

/// <summary>The power that a kiln's elements gave, read off the log of a firing.</summary>
/// <param name="Kw">The power while it was at full power, kW; null where it never was, for as long as it takes to tell.</param>
/// <param name="AtLeastKw">The power it gave at its hardest, kW: its elements give that at least.</param>
/// <remarks>
/// A kiln is at full power where it climbs slower than its ramp asks, or is to climb as fast as it can, and takes as much as it ever takes in that firing. The
/// second tells a stall (a tripped relay, an open lid, a controller that waits) from weak elements: in a stall the kiln takes only what it loses, and took more
/// before and after. The power of a span is what the kiln's model needs to follow its log; a firing's is the median over its spans, so that neither noise
/// nor a span cut short counts. Source: the median withstands up to half of its values being wrong (breakdown point: Donoho and Huber, 1983, as in Huber,
/// "Robust Statistics" (1981), chapter 1); that a controller is fully on while it is behind its ramp is common practice, no source. Units: kW. Accuracy: that
/// of the model and of what was in, some percent.
/// </remarks>
internal readonly record struct FullPower(double? Kw, double? AtLeastKw)
{
    private const double SpanSeconds = 900;
    private const double SecondsPerHour = 3600;

    /// <summary>It climbs slower than its ramp where it climbs less than this part of it.</summary>
    private const double SlowerThan = 0.9;

    /// <summary>It takes as much as ever where it takes this part of the most it took.</summary>
    private const double AsMuchAsEver = 0.9;

    /// <summary>The most it took is the 19th of 20 spans by size, so that one odd reading is not it.</summary>
    private const double MostPart = 0.95;

    /// <summary>So many spans tell: half an hour.</summary>
    private const int LeastSpans = 2;

    /// <summary>Nearer to a target the controller eases off.</summary>
    private const double NearTargetC = 10;

    /// <summary>What the log of a firing tells of the kiln; nothing where there is no log.</summary>
    /// <param name="kiln">As it is believed to be; its power does not count.</param>
    /// <param name="firing">The firing with its log.</param>
    /// <param name="options">How finely the model goes.</param>
    public static FullPower Of(KilnHeat kiln, MeteredFiring firing, KilnModelOptions options)
    {
        if (firing.Log is not { } log) return default;
        var spans = SpansOf(log, KilnModel.Follow(kiln, firing.Load, firing.AmbientC, log, options));
        if (spans.Count < LeastSpans) return default;
        var sorted = spans.Select(s => s.Kw).Order().ToArray();
        var most = sorted[(int)Math.Floor((sorted.Length - 1) * MostPart)];
        var full = spans.Where(s => s.Kw >= AsMuchAsEver * most && IsBehind(s, firing.Programme)).Select(s => s.Kw).ToArray();
        return new FullPower(full.Length >= LeastSpans ? Robust.Median(full) : null, most);
    }

    private readonly record struct Span(double FromC, double ToC, double Kw)
    {
        public double RateCPerHour => (ToC - FromC) / SpanSeconds * SecondsPerHour;
    }

    private static List<Span> SpansOf(TemperatureHistory log, IReadOnlyList<RunStep> steps)
    {
        var spans = new List<Span>();
        var (first, joules, from) = (log.Seconds[0], 0.0, 0.0);
        for (var i = 1; i < steps.Count; i++)
        {
            joules += steps[i].Kw * (steps[i].EndSeconds - steps[i - 1].EndSeconds);
            if (steps[i].EndSeconds - from < SpanSeconds) continue;
            spans.Add(new Span(log.At(first + from), steps[i].Celsius, joules / (steps[i].EndSeconds - from)));
            (joules, from) = (0, steps[i].EndSeconds);
        }
        return spans;
    }

    private static bool IsBehind(Span span, PowerProgramme programme)
    {
        var start = programme.StartC;
        foreach (var segment in programme.Segments)
        {
            if (segment.ToC > start && span.FromC >= start - NearTargetC && span.ToC <= segment.ToC - NearTargetC && span.FromC < segment.ToC)
                return segment.RateCPerHour is not { } asked || span.RateCPerHour < SlowerThan * asked;
            start = segment.ToC;
        }
        return false;
    }
}
