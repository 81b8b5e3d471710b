using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Tests.CoFiring;

/// <summary>Bisque, underglaze set, glaze, overglaze: common practice, no source; bisque first unless single-fired: common practice, no source.</summary>
public sealed class RouteTests
{
    public static TheoryData<Stage, GlazeKind[], bool?, FiringKind[]> Ways => new()
    {
        { Stage.Greenware, [], null, [FiringKind.Bisque, FiringKind.Glaze] },
        { Stage.Greenware, [GlazeKind.Underglaze], null, [FiringKind.Bisque, FiringKind.UnderglazeSet, FiringKind.Glaze] },
        { Stage.Greenware, [GlazeKind.Glaze], null, [FiringKind.SingleFire] },
        { Stage.Greenware, [GlazeKind.Glaze], false, [FiringKind.Bisque, FiringKind.Glaze] },
        { Stage.Greenware, [], true, [FiringKind.SingleFire] },
        { Stage.Bisque, [], null, [FiringKind.Glaze] },
        { Stage.Bisque, [GlazeKind.Glaze], null, [FiringKind.Glaze] },
        { Stage.Bisque, [GlazeKind.Underglaze], null, [FiringKind.UnderglazeSet, FiringKind.Glaze] },
        { Stage.Bisque, [GlazeKind.Engobe], null, [FiringKind.UnderglazeSet, FiringKind.Glaze] },
        { Stage.Bisque, [GlazeKind.Underglaze, GlazeKind.Glaze], null, [FiringKind.Glaze] },
        { Stage.Glazed, [GlazeKind.Lustre], null, [FiringKind.Overglaze] },
        { Stage.Glazed, [GlazeKind.Glaze, GlazeKind.Decal], null, [FiringKind.Glaze, FiringKind.Overglaze] },
        { Stage.Finished, [GlazeKind.Enamel], null, [FiringKind.Overglaze] },
        { Stage.Finished, [], null, [] },
        { Stage.Glazed, [], null, [] },
        { Stage.Lost, [GlazeKind.Glaze], null, [] },
    };

    [Theory]
    [MemberData(nameof(Ways))]
    public void A_piece_goes_through_its_firings_in_order(Stage stage, GlazeKind[] raw, bool? singleFire, FiringKind[] kinds)
    {
        var route = Route.Of(stage, raw, singleFire);
        Assert.Equal(kinds, route.Steps.Select(step => step.Kind));
        Assert.Equal(kinds.Length == 0 ? null : kinds[0], route.Next?.Kind);
    }

    [Fact]
    public void Only_the_setting_of_underglaze_may_be_skipped()
    {
        Assert.Equal([FiringKind.UnderglazeSet, FiringKind.Glaze], Route.Of(Stage.Bisque, [GlazeKind.Underglaze]).Open.Select(step => step.Kind));
        Assert.Equal([FiringKind.Bisque], Route.Of(Stage.Greenware, []).Open.Select(step => step.Kind));
    }

    [Fact]
    public void Ware_takes_its_way_from_the_layers_that_are_still_raw()
    {
        Assert.Equal(FiringKind.Glaze, Samples.Bisqued("a").Route.Next!.Kind);
        Assert.Equal(FiringKind.Overglaze, Samples.Glazed("a", Samples.Raw(Samples.Lustre)).Route.Next!.Kind);
        Assert.Null(Samples.Glazed("a").Route.Next);
    }

    [Fact]
    public void Glaze_put_on_glazed_ware_makes_a_refire()
    {
        Assert.True(Route.Of(Stage.Glazed, [GlazeKind.Glaze]).Next!.IsRefire);
        Assert.False(Route.Of(Stage.Bisque, [GlazeKind.Glaze]).Next!.IsRefire);
    }
}
