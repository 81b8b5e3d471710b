using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using NodaTime;
using static KilnShare.Core.Tests.CoFiring.Samples;

namespace KilnShare.Core.Tests.CoFiring;

public sealed class EvidenceTableTests
{
    // The cone maker's table (2016) at 60 °C/h: small cone 6 stands for another heat than self-supporting cone 6.
    [Fact]
    public void One_number_in_two_series_of_cones_is_two_rows_of_evidence_for_people_as_for_the_rules()
    {
        SeenOutcome[] seen = [Seen(1, ConeSeries.SelfSupporting), Seen(2, ConeSeries.SelfSupporting), Seen(3, ConeSeries.Small), Seen(4, ConeSeries.Large)];
        var rows = EvidenceTable.Of(seen);
        Assert.Equal([(ConeSeries.SelfSupporting, 2, true), (ConeSeries.Large, 1, false), (ConeSeries.Small, 1, false)], rows.OrderByDescending(r => r.Pieces).ThenBy(r => r.Series).Select(r => (r.Series, r.Pieces, r.IsRepeated)));
        Assert.All(rows, row => Assert.Equal("6", row.Cone.Name));
        Assert.Equal(rows.Select(r => r.Series).Order(), EvidenceTable.ForRules(seen).Select(e => e.Series).Order());
    }

    private static SeenOutcome Seen(byte firing, ConeSeries series)
    {
        var (piece, member) = (new Id<Piece>(Guid.CreateVersion7()), new Id<Member>(Guid.CreateVersion7()));
        var outcome = new Outcome(
            default, new Id<Outcome>(Guid.CreateVersion7()), new Id<Firing>(new Guid(firing, 0, 0, new byte[8])), piece, 0, OutcomeGrade.Good, Instant.FromUtc(2026, 3, firing, 8, 0));
        var frozen = new FrozenCopy("mug", "M", member, new Footprint.Circle(new Length(90_000)), new Length(100_000), 380m, true, Bisqued("a"));
        return new SeenOutcome(outcome, frozen, new FiringAim(Glaze6.Kind, Glaze6.Cone, series, Glaze6.Atmosphere), new LocalDate(2026, 3, firing));
    }
}
