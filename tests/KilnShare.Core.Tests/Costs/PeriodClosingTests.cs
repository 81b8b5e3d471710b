using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Tests.Costs;

public sealed class PeriodClosingTests
{
    private static readonly DateTimeZone Berlin = DateTimeZoneProviders.Tzdb["Europe/Berlin"];

    // Central European Time is UTC+1, its summer time UTC+2 (IANA time zone database).
    [Theory]
    [InlineData("2026-01", 2026, 1, 31, 23)]
    [InlineData("2026-06", 2026, 6, 30, 22)]
    [InlineData("2026-12", 2026, 12, 31, 23)]
    public void A_month_ends_when_the_studios_clock_says_so(string month, int year, int monthUtc, int day, int hour) =>
        Assert.Equal(Instant.FromUtc(year, monthUtc, day, hour, 0), PeriodClosing.EndOf(month, Berlin));

    [Theory]
    [InlineData("2026-13")]
    [InlineData("2026-1")]
    [InlineData("2026")]
    [InlineData("")]
    public void What_is_no_month_has_no_end(string month) => Assert.Null(PeriodClosing.EndOf(month, Berlin));

    [Fact]
    public void A_month_is_closed_when_it_is_over_and_not_after_a_later_one()
    {
        var january = PeriodClosing.EndOf("2026-01", Berlin)!.Value;
        var february = PeriodClosing.EndOf("2026-02", Berlin)!.Value;
        Assert.Equal("costs.month-not-over", PeriodClosing.Check(january, null, january - Duration.FromSeconds(1))!.Code);
        Assert.Null(PeriodClosing.Check(january, null, january));
        Assert.Equal("costs.month-closed", PeriodClosing.Check(january, Closed("2026-02", february), february)!.Code);
        Assert.Equal("costs.month-closed", PeriodClosing.Check(january, Closed("2026-01", january), february)!.Code);
        Assert.Null(PeriodClosing.Check(february, Closed("2026-01", january), february));
    }

    private static PeriodClosing Closed(string month, Instant until) => new(
        new Id<Studio>(Guid.Empty), month, until, 0, 0, new ClosingNames(
            "", "", new Dictionary<string, string>(), new Dictionary<string, string>()), new Id<Member>(Guid.Empty), until);
}
