using KilnShare.Core.CoFiring;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.CoFiring.Samples;

namespace KilnShare.Core.Tests.CoFiring;

/// <summary>That a result is trusted once two firings repeat it: common practice, no source.</summary>
public sealed class EvidenceTests
{
    private static readonly Ware Unfitted = Bisqued("a", Stoneware with { Expansion = null });

    private static readonly Evidence Sound = RuleCases.Outcomes((1, 4, 0, 0), (8, 3, 0, 0));

    [Fact]
    public void Two_sound_firings_on_two_dates_raise_unknown_to_compatible_and_say_the_counts()
    {
        var answer = CoFiringCheck.Check(Glaze6, [Unfitted], [Sound]);
        var finding = answer.Find("glaze-body-expansion")!;
        Assert.Equal(Verdict.Compatible, finding.Verdict);
        Assert.Contains("7 of 7 pieces", finding.Message);
        Assert.Contains("2 of this studio's firings", finding.Message);
        Assert.Contains("2030-05-01 to 2030-05-08", finding.Message);
        Assert.Equal((7, 2), (finding.Values["soundPieces"], finding.Values["firings"]));
        Assert.Equal((Verdict.Compatible, Gate.Open), (answer.Pieces[0].Self, answer.Gate));
    }

    public static TheoryData<string> Insufficient =>
        ["none", "one firing", "one date", "one spoilt", "other coats", "other cone", "other atmosphere", "other clay"];

    [Theory]
    [MemberData(nameof(Insufficient))]
    public void Less_than_that_leaves_it_unknown(string what)
    {
        Evidence[] evidence = what switch
        {
            "none" => [],
            "one firing" => [RuleCases.Outcomes((1, 9, 0, 0))],
            "one date" => [RuleCases.Outcomes((1, 4, 0, 0), (1, 3, 0, 0))],
            "one spoilt" => [RuleCases.Outcomes((1, 4, 0, 0), (8, 3, 1, 0))],
            "other coats" => [Sound with { Coats = 3 }],
            "other cone" => [Sound with { Cone = KilnShare.Core.Cones.Cone.Parse("5") }],
            "other atmosphere" => [Sound with { Atmosphere = Atmosphere.Neutral }],
            _ => [Sound with { Clay = "another" }],
        };
        Assert.Equal(Verdict.Unknown, CoFiringCheck.Check(Glaze6, [Unfitted], evidence).Find("glaze-body-expansion")!.Verdict);
    }

    [Fact]
    public void Every_raw_layer_must_have_come_out_sound()
    {
        var two = Unfitted with { Layers = [.. Unfitted.Layers, Raw(White with { Name = "another" })] };
        Assert.Equal(Verdict.Unknown, CoFiringCheck.Check(Glaze6, [two], [Sound]).Find("glaze-body-expansion")!.Verdict);
    }

    [Fact]
    public void Evidence_never_lifts_a_hard_rule()
    {
        Ware[] hard =
        [
            Bisqued("over", Stoneware with { Cones = Range("06", "04") }),
            Bisqued("lead", glaze: White with { Contains = [new Ingredient(Substance.Lead)] }),
            Bisqued("food", glaze: White with { Contains = null }).ForFood(),
            Greenware("green") with { Dryness = null, SingleFire = true, Layers = [Raw(White)] },
            Bisqued("salt", glaze: White with { Contains = [new Ingredient(Substance.Salt)] }),
            Bisqued("air", glaze: White with { Atmospheres = [Atmosphere.Reduction] }),
        ];
        var without = CoFiringCheck.Check(Glaze6, hard);
        var with = CoFiringCheck.Check(Glaze6, hard, [Sound]);
        Assert.Equal(
            without.Findings().Select(finding => (finding.Rule, finding.Verdict)), with.Findings().Select(finding => (finding.Rule, finding.Verdict)));
        Assert.Contains(without.Findings(), finding => finding.Verdict == Verdict.Unknown);
    }

    [Fact]
    public void One_bad_firing_is_not_held_against_a_glaze_and_two_are()
    {
        Assert.Null(CoFiringCheck.Check(Glaze6, [Bisqued("a")], [RuleCases.Outcomes((1, 3, 2, 2), (2, 5, 0, 0))]).Find("own-outcomes"));
        var two = CoFiringCheck.Check(Glaze6, [Bisqued("a")], [RuleCases.Outcomes((1, 3, 2, 0)), RuleCases.Outcomes((2, 4, 1, 0))]).Find("own-outcomes")!;
        Assert.Contains("3 of 10 pieces", two.Message);
    }

    [Fact]
    public void What_the_makers_do_not_say_of_atmosphere_movement_and_foot_can_be_learnt()
    {
        var bare = new Ware("a", Stage.Bisque, new ClayBody(Stoneware.Name, Range("5", "7")), [Raw(new Glaze(White.Name, Range("4", "5")) { Contains = [] })]);
        var answer = CoFiringCheck.Check(Glaze6, [bare], [Sound]);
        Assert.Equal(Verdict.Unknown, Glaze6.Check(bare).Verdict);
        Assert.Equal(Verdict.Compatible, answer.Verdict);
        string[] learnt = [.. answer.Findings().Where(finding => finding.Verdict == Verdict.Compatible).Select(finding => finding.Rule)];
        Assert.Equal(["glaze-top-cone", "glaze-atmosphere", "bare-foot", "glaze-body-expansion"], learnt);
    }
}
