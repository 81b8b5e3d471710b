using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Energy;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Tests.Energy;

public sealed class KilnUpkeepTests
{
    private static readonly Instant New = Instant.FromUtc(2026, 1, 10, 9, 0);

    // Type K thermocouples: about 150 firings at low fire, 50 at cone 6, 20 at cone 10 (published, kiln makers' manuals).
    [Theory]
    [InlineData("06", 150)]
    [InlineData("6", 50)]
    [InlineData("10", 20)]
    public void A_thermocouple_is_due_after_the_published_number_of_firings(string cone, int firings)
    {
        Assert.DoesNotContain(Of(cone, (int)(firings * 0.7)).Due, d => d.Code == "thermocouple-firings");
        Assert.False(Of(cone, firings - 1).Due.Single(d => d.Code == "thermocouple-firings").IsDue);
        var due = Of(cone, firings).Due.Single(d => d.Code == "thermocouple-firings");
        Assert.True(due.IsDue);
        Assert.StartsWith("published", due.Basis, StringComparison.Ordinal);
    }

    // Elements: 400 to 500 firings at low fire, 150 to 350 at cone 6, 35 to 100 at cone 10 (published, kiln makers' manuals).
    [Theory]
    [InlineData("04", 400, 500)]
    [InlineData("6", 150, 350)]
    [InlineData("10", 35, 100)]
    public void Elements_are_to_be_measured_after_a_short_life_and_are_due_after_a_long_one(string cone, int least, int most)
    {
        Assert.DoesNotContain(Of(cone, least - 1).Due, d => d.Code == "elements-firings");
        Assert.False(Of(cone, least).Due.Single(d => d.Code == "elements-firings").IsDue);
        Assert.True(Of(cone, most).Due.Single(d => d.Code == "elements-firings").IsDue);
    }

    [Fact]
    public void Lives_of_different_cones_add_up()
    {
        var firings = Firings("06", 75).Concat(Firings("10", 10)).ToList();
        Assert.Equal(1, KilnUpkeep.Of(Book(), firings).Thermocouple.UsedAtMost, 9);
    }

    [Fact]
    public void Resistance_tells_growth_power_and_firings_left_and_only_since_the_elements_were_new()
    {
        UpkeepEntry[] book = [Ohms(-300, 25), .. Book(), Ohms(0, 18), Ohms(100, 18.9m)];
        var upkeep = KilnUpkeep.Of(book, Firings("6", 40));
        // +5 % after 40 firings: another 40 to +10 % (from memory of handbooks), 1/1.05 of the power (Ohm's law).
        Assert.Equal((18m, 18.9m), (upkeep.Resistance!.NewOhms, upkeep.Resistance.NowOhms));
        Assert.Equal(5, upkeep.Resistance.GrowthPercent, 6);
        Assert.Equal(95.238, upkeep.Resistance.PowerPercent, 3);
        Assert.Equal(40, upkeep.Resistance.FiringsLeft!.Value, 6);
        Assert.Equal(40 * 30, upkeep.FullPowerMinutes);
        Assert.DoesNotContain(upkeep.Due, d => d.Code == "elements-resistance");
    }

    [Fact]
    public void Without_a_book_all_firings_count_and_that_is_said() =>
        Assert.Contains(KilnUpkeep.Of([], Firings("6", 3)).Due, d => d.Code == "book-incomplete");

    private static KilnUpkeep Of(string cone, int firings) => KilnUpkeep.Of(Book(), Firings(cone, firings));

    private static List<WearingFiring> Firings(string cone, int count) =>
        [.. Enumerable.Range(0, count).Select(i => new WearingFiring(New + Duration.FromHours(1 + i), Cone.Parse(cone), 30))];

    private static UpkeepEntry[] Book() => [Entry(UpkeepKind.ElementsReplaced, 0), Entry(UpkeepKind.ThermocoupleReplaced, 0)];

    private static UpkeepEntry Entry(UpkeepKind kind, int day) =>
        new(new Id<Studio>(Guid.Empty), new Id<UpkeepEntry>(Guid.Empty), new Id<Kiln>(Guid.Empty), kind, New + Duration.FromDays(day));

    private static UpkeepEntry Ohms(int day, decimal ohms) =>
        new(new Id<Studio>(
            Guid.Empty), new Id<UpkeepEntry>(Guid.Empty), new Id<Kiln>(Guid.Empty), UpkeepKind.Resistance, New + Duration.FromDays(day))
        { Ohms = ohms };
}
