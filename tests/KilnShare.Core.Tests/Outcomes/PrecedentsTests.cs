using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Materials;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.CoFiring.Samples;
using static KilnShare.Core.Tests.Outcomes.SeenSamples;

namespace KilnShare.Core.Tests.Outcomes;

/// <summary>What happened here before to ware like this.</summary>
public sealed class PrecedentsTests
{
    private static readonly Ware Wanted = new("a", Stage.Bisque, Stoneware, [Coat(3)]);

    [Fact]
    public void The_very_recipe_comes_first_then_what_differs_least_and_each_says_how()
    {
        SeenCopies[] seen =
        [
            Seen(1, Coat(2)) with { Aim = Aim(ConeSeries.SelfSupporting, "5") },
            Seen(2, Coat(2)),
            Seen(3, Coat(3)),
            Seen(4, Coat(3)) with { Clay = Stoneware with { Name = "sand stoneware", Cones = Range("5", "8") } },
            Seen(5, Coat(3), Coat(1, "honey")),
        ];
        var found = Precedents.Of(Wanted, Aim(ConeSeries.SelfSupporting), seen);
        Assert.Equal(
            ["", "sand stoneware instead of grey stoneware", "2 coats instead of 3", "with honey besides", "cone 5 instead of 6, 2 coats instead of 3"],
            found.Cases.Select(c => string.Join(", ", c.Likeness.Unlike)));
        Assert.Equal([1, 0.5, 0.5, 0.3, 0.25], found.Cases.Select(c => c.Likeness.Weight));
        Assert.True(found.Cases[0].IsSame);
        Assert.Equal((1, 4), (found.OwnFirings, found.BorrowedFirings));
    }

    [Theory]
    [InlineData("other glaze")]
    [InlineData("two cones off")]
    [InlineData("other series")]
    [InlineData("other atmosphere")]
    [InlineData("clay of another kind")]
    [InlineData("clay of unknown cones")]
    [InlineData("five coats more")]
    public void What_is_too_unlike_is_no_case(string what)
    {
        var seen = what switch
        {
            "other glaze" => Seen(1, Coat(3, "honey")),
            "two cones off" => Seen(1, Coat(3)) with { Aim = Aim(ConeSeries.SelfSupporting, "4") },
            "other series" => Seen(1, Coat(3)) with { Aim = Aim(ConeSeries.Small) },
            "other atmosphere" => Seen(1, Coat(3)) with { Aim = Aim(ConeSeries.SelfSupporting) with { Atmosphere = Atmosphere.Reduction } },
            "clay of another kind" => Seen(1, Coat(3)) with { Clay = new ClayBody("red earthenware", Range("06", "02")) },
            "clay of unknown cones" => Seen(1, Coat(3)) with { Clay = new ClayBody("river clay", null) },
            _ => Seen(1, Coat(8)),
        };
        var found = Precedents.Of(Wanted, Aim(ConeSeries.SelfSupporting), [seen]);
        Assert.Empty(found.Cases);
        Assert.Equal("Nothing like it has been fired here yet. Fire a test first.", found.InWords());
    }

    [Fact]
    public void Order_application_and_fired_coats_are_told_and_what_nobody_wrote_down_is_not_held_against_it()
    {
        Layer white = Coat(
            2) with
        { AppliedBy = CoatApplication.Brushed }, honey = Coat(1, "honey"), black = Coat(1, "relief black") with { FiredAt = Cone.Parse("04") };
        IReadOnlyList<string> Unlike(params Layer[] seen) => Likeness.Of(new Ware("a", Stage.Bisque, Stoneware, [white, honey]), null, Seen(1, seen))!.Unlike;
        Assert.Empty(Unlike(Coat(2), honey));
        Assert.Equal(["dipped instead of brushed"], Unlike(Coat(2) with { AppliedBy = CoatApplication.Dipped }, honey));
        Assert.Equal(["honey under plain white instead of over it"], Unlike(honey, white));
        Assert.Equal(["1 coat of plain white instead of 2"], Unlike(Coat(1), honey));
        Assert.Equal(["without honey"], Unlike(white));
        Assert.Equal(["over fired relief black"], Unlike(black, white, honey));
    }

    [Fact]
    public void Without_a_firing_cones_are_not_compared() =>
        Assert.Equal(["10", "4"], Precedents.Of(Wanted, null, [Seen(1, Coat(3)) with { Aim = Aim(ConeSeries.SelfSupporting, "4") }, Seen(
            2, Coat(3)) with { Aim = Aim(ConeSeries.SelfSupporting, "10") }]).Cases.Select(c => c.Seen[0].Aim.Cone.Name).Order(StringComparer.Ordinal));

    [Fact]
    public void What_is_borrowed_narrows_less_than_what_is_its_own_and_is_said()
    {
        SeenCopies[] Firings(int from, int count, int coats) => [.. Enumerable.Range(from, count).Select(i => Seen(i, Coat(coats)) with { Copies = 4 })];
        double Width(IEnumerable<SeenCopies> seen) =>
            Precedents.Of(Wanted, Aim(ConeSeries.SelfSupporting), seen).Sound!.Range is { } range ? range.High - range.Low : 1;
        var own = Firings(1, 2, 3);
        Assert.True(Width([.. own, .. Firings(3, 4, 2)]) < Width(own));
        Assert.True(Width([.. own, .. Firings(3, 4, 2)]) > Width([.. own, .. Firings(3, 4, 3)]));
        Assert.Equal(
            "Of this very recipe 8 of 8 came out sound, in 2 firings. 4 firings of ware that is less like it are borrowed, and count for less. Together the "
                + "rate of sound ware probably lies between ",
            Precedents.Of(Wanted, Aim(ConeSeries.SelfSupporting), [.. own, .. Firings(3, 4, 2)]).InWords().Split("between ")[0] + "between ");
        Assert.StartsWith("This very recipe has not been fired here yet. 4 firings", Precedents.Of(Wanted, Aim(ConeSeries.SelfSupporting), Firings(3, 4, 2))
            .InWords(), StringComparison.Ordinal);
        Assert.Equal("4 of 4 came out sound, in one firing: it may have been an odd one.", Precedents.Of(
            Wanted, Aim(ConeSeries.SelfSupporting), Firings(1, 1, 3)).InWords());
        Assert.DoesNotContain("%", Precedents.Of(Wanted, Aim(ConeSeries.SelfSupporting), Firings(1, 1, 2)).InWords(), StringComparison.Ordinal);
    }

    [Fact]
    public void One_firing_counts_once_however_many_recipes_it_held()
    {
        var found = Precedents.Of(Wanted, Aim(ConeSeries.SelfSupporting), [Seen(1, Coat(3)), Seen(1, Coat(2)), Seen(1, Coat(4))]);
        Assert.Equal((3, 1, 0), (found.Cases.Count, found.OwnFirings, found.BorrowedFirings));
        Assert.Null(found.Sound!.Range);
    }
}
