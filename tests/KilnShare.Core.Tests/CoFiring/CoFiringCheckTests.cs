using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using static KilnShare.Core.Tests.CoFiring.Samples;

namespace KilnShare.Core.Tests.CoFiring;

public sealed class CoFiringCheckTests
{
    [Fact]
    public void The_example_of_the_contract_is_answered_as_printed()
    {
        var clay = new ClayBody("grey stoneware", Range("5", "7"))
        {
            BisqueCones = Range("08", "04"),
            Atmospheres = [Atmosphere.Oxidation, Atmosphere.Reduction],
            Expansion = new Expansion(5.4m, Dilatometer),
            AbsorptionPercent = 2.0m,
        };
        var glaze = new Glaze("tin white", Range("5", "6"))
        {
            Atmospheres = [Atmosphere.Oxidation],
            Expansion = new Expansion(6.2m, Dilatometer),
            Contains = [new Ingredient(Substance.Tin, 6m)],
            Movement = Movement.Stable,
        };
        var piece = new Ware("p1", KilnShare.Core.Pieces.Stage.Bisque, clay, [new Layer(glaze, 2, "outside", null)])
        {
            BisquedAt = Cone.Parse("04"),
            ForFood = true,
            BareFootMm = 6m,
            OnCatcher = false,
        };
        var answer = Glaze6.Check(piece);
        Assert.Equal(Verdict.Compatible, answer.Verdict);
        Assert.Equal(Gate.NeedsAccepts, answer.Gate);
        Assert.Empty(answer.Between);
        Assert.Equal(Range("5", "6"), answer.ConeWindow);
        var said = Assert.Single(answer.Pieces);
        Assert.Equal((Verdict.Compatible, Verdict.Caution, Verdict.Unknown), (said.Verdict, said.Self, said.Use!.Value));
        Assert.Equal("glaze-body-expansion food-release-not-measured", string.Join(' ', said.Findings.Select(finding => finding.Rule)));
        Assert.Equal(-0.8m, said.Findings[0].Values["bodyMinusGlazePpmPerC"]);
        Assert.Empty(said.Findings[0].Cures);
    }

    [Fact]
    public void Findings_of_overglaze_name_what_is_really_there_and_agree_in_number()
    {
        var decal = Lustre with { Name = "leaf decal", Kind = GlazeKind.Decal };
        Assert.StartsWith("a carries lustre and gives off smoke and metal fume over b.", Said(Glazed("a", Raw(Lustre)), Glazed("b")), StringComparison.Ordinal);
        Assert.StartsWith("a carries decals and gives off", Said(Glazed("a", Raw(decal)), Glazed("b")), StringComparison.Ordinal);
        Assert.StartsWith(
            "a, b carry lustre and decals and give off", Said(Glazed("a", Raw(Lustre)), Glazed("b", Raw(decal)), Glazed("c")), StringComparison.Ordinal);
        Assert.StartsWith("The oil and resin in the lustre of a burn off", Overglaze018.Check(Glazed("a", Raw(Lustre)))
            .Find("overglaze-smoke")!.Message, StringComparison.Ordinal);
        Assert.StartsWith("red enamel belongs into", Elsewhere(Raw(Enamel), Raw(Enamel)), StringComparison.Ordinal);
        Assert.StartsWith("red enamel, gold lustre belong into", Elsewhere(Raw(Enamel), Raw(Lustre)), StringComparison.Ordinal);
        Assert.Contains("put them on then", Elsewhere(Raw(Enamel), Raw(Lustre)), StringComparison.Ordinal);

        static string Said(params Ware[] pieces) => Overglaze018.Check(pieces).Find("lustre-and-decals-alone")!.Message;

        static string Elsewhere(params Layer[] layers) => Glaze6.Check(Glazed("a", layers)).Find("overglaze-in-other-firing")!.Message;
    }

    [Fact]
    public void Ware_of_which_everything_is_known_and_sound_is_open()
    {
        var answer = Glaze6.Check(Bisqued("a"), Bisqued("b"));
        Assert.Empty(answer.Findings());
        Assert.Equal((Verdict.Compatible, Gate.Open), (answer.Verdict, answer.Gate));
        Assert.All(answer.Pieces, piece => Assert.Null(piece.Use));
    }

    [Fact]
    public void Only_the_cones_are_required_and_the_rest_is_then_unknown_never_compatible()
    {
        var bare = new Ware("a", KilnShare.Core.Pieces.Stage.Bisque, new ClayBody("clay", Range("5", "7")), [Raw(new Glaze("glaze", Range("5", "6")))]);
        var answer = Glaze6.Check(bare);
        Assert.Equal((Verdict.Unknown, Gate.NeedsTechnician), (answer.Verdict, answer.Gate));
    }

    [Fact]
    public void A_finding_on_self_or_use_leaves_the_verdict_alone_but_not_the_gate()
    {
        var misfit = Glaze6.Check(Bisqued("a", Stoneware with { Expansion = new Expansion(5.4m, Dilatometer) }));
        Assert.Equal((Verdict.Compatible, Gate.NeedsAccepts), (misfit.Verdict, misfit.Gate));
        var hazard = Glaze6.Check(Bisqued("a", glaze: Containing(Substance.Barium)).ForFood());
        Assert.Equal((Verdict.Caution, Gate.Refused), (hazard.Verdict, hazard.Gate));
        Assert.Equal(Verdict.Incompatible, hazard.Pieces[0].Use);
    }

    [Fact]
    public void A_piece_answers_for_what_is_found_between_it_and_others()
    {
        var answer = Glaze6.Check(Bisqued("a", glaze: Containing(Substance.Lead)), Bisqued("b").ForFood(), Bisqued("c"));
        Assert.Equal([Verdict.Incompatible, Verdict.Incompatible, Verdict.Compatible], answer.Pieces.Select(piece => piece.Verdict));
        Assert.Equal(["a", "b"], answer.Find("lead-beside-food-ware")!.Pieces);
        Assert.DoesNotContain(answer.Pieces[1].Findings, finding => finding.Touches is Touches.Others);
    }

    [Fact]
    public void Leaded_food_ware_alone_harms_no_neighbour_and_two_of_them_each_other()
    {
        var one = Bisqued("a", glaze: Containing(Substance.Lead)).ForFood();
        Assert.Null(Glaze6.Check(one).Find("lead-beside-food-ware"));
        Assert.Equal(["a", "b"], Glaze6.Check(one, one with { Id = "b" }).Find("lead-beside-food-ware")!.Pieces);
    }

    [Fact]
    public void The_window_is_where_the_ranges_that_count_meet()
    {
        Assert.Equal(Range("6", "6"), Glaze6.Check(Bisqued("a"), Bisqued("b", Stoneware with { Cones = Range("6", "10") })).ConeWindow);
        Assert.Null(Glaze6.Check(Bisqued("a"), Bisqued("b", Stoneware with { Cones = Range("8", "10") })).ConeWindow);
        Assert.Equal(Range("08", "04"), Bisque06.Check(Greenware("a")).ConeWindow);
        Assert.Equal(Range("08", "05"), Bisque06.Check(Greenware("a", Stoneware with { Cones = Range("08", "05") })).ConeWindow);
        Assert.Equal(Range("022", "7"), Bisque06.Check(Greenware("a", Stoneware with { BisqueCones = null })).ConeWindow);
        Assert.Equal(Range("019", "016"), Overglaze018.Check(Glazed("a", Raw(Lustre))).ConeWindow);
        Assert.Null(Glaze6.Check(Bisqued("a", Stoneware with { Cones = Range("5", "7", ConeSeries.Small) })).ConeWindow);
        Assert.Equal(Range("5", "6"), Glaze6.Check(Bisqued("a", Stoneware with { Cones = Range("5", "7", ConeSeries.Large) })).ConeWindow);
    }

    // Published ranges of clay makers; 06 taken for 6 is the classic accident of published kiln-care pages.
    [Theory]
    [InlineData("red earthenware", "06", "04", "6", Verdict.Incompatible)]
    [InlineData("red stoneware", "5", "6", "6", Verdict.Compatible)]
    [InlineData("coarse black", "5", "5", "6", Verdict.Caution)]
    [InlineData("grogged grey", "5", "10", "6", Verdict.Compatible)]
    [InlineData("porcelain", "10", "10", "6", Verdict.Compatible)]
    [InlineData("red earthenware", "06", "04", "06", Verdict.Compatible)]
    public void A_published_body_at_a_cone(string name, string from, string to, string cone, Verdict verdict)
    {
        var body = Stoneware with { Name = name, Cones = Range(from, to) };
        var ware = Bisqued("a", body, White with { Cones = Range("06", "10") });
        var answer = Firing(FiringKind.Glaze, cone).Check(ware);
        Assert.Equal(verdict, answer.Verdict);
        Assert.Equal(name is "porcelain", answer.Find("body-bottom-cone") is not null);
    }

    // Published expansions (×10⁻⁶/°C): earthenware 7.77, red stoneware 4.8, black 5.56, grey 5.38, porcelain 5.35; limits from memory.
    [Theory]
    [InlineData(7.77, 7.0, false)]
    [InlineData(4.8, 5.5, true)]
    [InlineData(5.56, 5.0, false)]
    [InlineData(5.38, 3.8, true)]
    [InlineData(5.35, 5.35, false)]
    public void A_published_expansion_against_a_glaze(double body, double glaze, bool speaks)
    {
        var ware = Bisqued(
            "a", Stoneware with { Expansion = new Expansion((decimal)body, "dilatometer") },
            White with { Expansion = new Expansion((decimal)glaze, " Dilatometer ") });
        Assert.Equal(speaks, Glaze6.Check(ware).Find("glaze-body-expansion") is not null);
    }

    [Fact]
    public void The_classic_accident_is_offered_a_firing_that_melts_nothing_and_none_where_clay_and_glaze_never_meet()
    {
        var never = Bisqued("a", Stoneware with { Cones = Range("06", "04") });
        // At 04 its glaze would stay dry: that is no cure.
        Assert.Empty(Glaze6.Check(never, Bisqued("b")).Find("body-top-cone")!.Cures);
        var ware = never with { Layers = [Raw(White with { Cones = Range("06", "04") })] };
        var cure = Assert.Single(Glaze6.Check(ware, Bisqued("b")).Find("body-top-cone")!.Cures);
        // It was bisqued at 06: a hotter glaze firing would pinhole it.
        Assert.Equal((CureChange.AnotherFiring, FiringKind.Glaze, "06"), (cure.Change, cure.Kind!.Value, cure.Cone!.Value.Name));
        Assert.Equal(Verdict.Compatible, Firing(FiringKind.Glaze, "06").Check(ware).Verdict);
    }

    [Fact]
    public void A_message_gives_the_cone_in_both_scales()
    {
        // Published cone table, self-supporting, 60 °C/h: cone 6 is 1222 °C, 2232 °F; cone 04 is 1063 °C, 1945 °F.
        var message = Glaze6.Check(Bisqued("a", Stoneware with { Cones = Range("06", "04") })).Find("body-top-cone")!.Message;
        Assert.Contains("cone 6 (1222 °C, 2232 °F at 60 °C/h)", message);
        Assert.Contains("cone 04 (1063 °C, 1945 °F at 60 °C/h)", message);
    }

    [Fact]
    public void Nothing_to_check_and_one_id_twice_are_errors_of_the_caller()
    {
        Assert.Throws<ArgumentException>(() => CoFiringCheck.Check(Glaze6, []));
        Assert.Throws<ArgumentException>(() => Glaze6.Check(Bisqued("a"), Bisqued("a")));
    }
}
