using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.CoFiring.Samples;
using static KilnShare.Core.Tests.Outcomes.SeenSamples;

namespace KilnShare.Core.Tests.Outcomes;

public sealed class EvidenceTableTests
{
    // The cone maker's table (2016) at 60 °C/h: small cone 6 stands for another heat than self-supporting cone 6.
    [Fact]
    public void One_number_in_two_series_of_cones_is_two_rows_of_evidence_for_people_as_for_the_rules()
    {
        SeenCopies[] seen = [Seen(1) with { Aim = Aim(ConeSeries.SelfSupporting) }, Seen(
            2) with { Aim = Aim(ConeSeries.SelfSupporting) }, Seen(3) with { Aim = Aim(ConeSeries.Small) }, Seen(4) with { Aim = Aim(ConeSeries.Large) }];
        var rows = EvidenceTable.Of(seen, EvidenceTable.ByCoats);
        Assert.Equal([(ConeSeries.SelfSupporting, 2, true), (ConeSeries.Large, 1, false), (ConeSeries.Small, 1, false)], rows.OrderByDescending(r => r.Pieces)
            .ThenBy(r => r.Series).Select(r => (r.Series, r.Pieces, r.IsRepeated)));
        Assert.All(rows, row => Assert.Equal("6", row.Cone.Name));
        Assert.Equal(rows.Select(r => r.Series).Order(), EvidenceTable.ForRules(seen).Select(e => e.Series).Order());
    }

    [Fact]
    public void Rows_are_told_apart_by_what_is_asked_and_what_nobody_knows_is_a_row_of_its_own()
    {
        SeenCopies[] seen =
        [
            Seen(1, Coat(2) with { AppliedBy = CoatApplication.Brushed, Batch = "bucket 3" }) with { Level = KilnLevel.Bottom },
            Seen(2, Coat(3) with { AppliedBy = CoatApplication.Dipped }) with { Level = KilnLevel.Top },
            Seen(3, Coat(3)),
        ];
        int Rows(params EvidenceBy[] by) => EvidenceTable.Of(seen, by.ToHashSet()).Count;
        Assert.Equal(1, Rows());
        Assert.Equal(2, Rows(EvidenceBy.Coats));
        Assert.Equal(3, Rows(EvidenceBy.AppliedBy));
        Assert.Equal(2, Rows(EvidenceBy.Batch));
        Assert.Equal(3, Rows(EvidenceBy.Level));
        var all = Assert.Single(EvidenceTable.Of(seen, new HashSet<EvidenceBy>()));
        Assert.Equal((null, 3, 3), (all.Coats, all.Pieces, all.Firings));
        var unknown = Assert.Single(EvidenceTable.Of(seen, new HashSet<EvidenceBy> { EvidenceBy.AppliedBy }), r => r.AppliedBy is null);
        Assert.Equal(1, unknown.Pieces);
    }

    [Fact]
    public void What_lies_under_and_over_a_glaze_is_told_apart_where_it_is_asked()
    {
        Layer white = Coat(2), honey = Coat(1, "honey"), fired = Coat(1, "relief black") with { FiredAt = Cone.Parse("04") };
        SeenCopies[] seen = [Seen(1, white, honey), Seen(2, honey, white), Seen(3, fired, white, honey)];
        var rows = EvidenceTable.Of(seen, new HashSet<EvidenceBy> { EvidenceBy.Coats, EvidenceBy.Layers });
        Assert.Equal(6, rows.Count);
        Assert.Equal(["relief black", White.Name, "honey"], rows.Last(r => r.Layers!.Count == 3).Layers!.Select(l => l.Glaze));
        Assert.Equal([true, false, false], rows.Last(r => r.Layers!.Count == 3).Layers!.Select(l => l.WasFired));
        Assert.Equal([(White.Name, 3), ("honey", 3)], EvidenceTable.Of(seen, EvidenceTable.ByCoats).Select(r => (r.Glaze!, r.Pieces))
            .OrderByDescending(r => r.Item1, StringComparer.Ordinal));
    }

    [Fact]
    public void A_glaze_that_went_on_twice_is_one_piece_all_the_same() =>
        Assert.Equal(1, Assert.Single(
            EvidenceTable.Of([Seen(1, Coat(2), Coat(1, "honey"), Coat(2))], new HashSet<EvidenceBy>()), r => r.Glaze == White.Name).Pieces);

    [Fact]
    public void Sound_and_each_defect_come_with_counts_firings_and_an_interval_from_two_firings_on()
    {
        SeenCopies[] seen =
        [
            Seen(1) with { Copies = 5 },
            Seen(1) with { Copies = 1, Grade = OutcomeGrade.Poor, Defects = [Defect.Running] },
            Seen(2) with { Copies = 3 },
            Seen(2) with { Copies = 1, Grade = OutcomeGrade.Fair, Defects = [Defect.Stuck] },
        ];
        var row = Assert.Single(EvidenceTable.Of(seen, EvidenceTable.ByCoats));
        Assert.Equal((8, 10, 2), (row.Sound.Seen, row.Sound.Pieces, row.Sound.Firings));
        Assert.Equal((1, 10, 2), (row.DefectRates[Defect.Running].Seen, row.DefectRates[Defect.Running].Pieces, row.DefectRates[Defect.Running].Firings));
        Assert.Equal([Defect.Running, Defect.Stuck], row.DefectRates.Keys.Order());
        Assert.StartsWith("8 of 10 came out sound, in 2 firings. The rate behind that probably lies between ", row.Sound.InWords(
            OutcomeWords.Sound), StringComparison.Ordinal);
        var one = Assert.Single(EvidenceTable.Of(seen[..2], EvidenceTable.ByCoats));
        Assert.Null(one.Sound.Range);
        Assert.Equal("1 of 6 ran, in one firing: it may have been an odd one.", one.DefectRates[Defect.Running].InWords(OutcomeWords.Of(Defect.Running)));
    }
}
