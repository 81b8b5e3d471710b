namespace KilnShare.Core.Energy;

/// <summary>Watches where a kiln cannot follow its programme, and joins what belongs together.</summary>
internal sealed class LimitWatch
{
    /// <summary>Less than this is a controller's ordinary lag.</summary>
    private const double NoticedC = 1;

    private readonly List<LimitedSpan> spans = [];
    private double before;
    private LimitedSpan? open;

    /// <summary>Sees the end of a step.</summary>
    /// <param name="seconds">When.</param>
    /// <param name="aboveC">How far the kiln is above what is asked, °C; below 0, under it.</param>
    /// <param name="rising">Which way the programme goes.</param>
    public void See(double seconds, double aboveC, bool rising)
    {
        var cooling = aboveC > 0;
        var shortC = cooling == rising ? 0 : Math.Abs(aboveC);
        if (shortC < NoticedC || (open is not null && open.Cooling != cooling)) Close();
        if (shortC >= NoticedC)
        {
            open = open is null
                ? new LimitedSpan(before, seconds, shortC, cooling)
                : open with { ToSeconds = seconds, ShortC = Math.Max(open.ShortC, shortC) };
        }
        before = seconds;
    }

    /// <summary>All spans.</summary>
    public IReadOnlyList<LimitedSpan> Spans()
    {
        Close();
        return spans;
    }

    private void Close()
    {
        if (open is not null) spans.Add(open);
        open = null;
    }
}
