using System.Globalization;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using static KilnShare.Core.Tests.CoFiring.Samples;

namespace KilnShare.Core.Tests.CoFiring;

/// <summary>
/// Every pair of a top and a firing's cone, against a slow and obvious oracle that reads the cones' names. One cone over, gloss and flow; two or three,
/// sticking (published kiln-care pages); that three are liquid whatever the glaze does at its own cone, and one over a body is decided on, is common
/// practice, no source.
/// </summary>
public sealed class DistanceTests
{
    [Fact]
    public void A_glaze_above_its_range_is_judged_by_how_many_whole_cones_lie_between()
    {
        foreach (var kind in Enum.GetValues<GlazeKind>())
            foreach (var movement in new Movement?[] { null, Movement.Stable, Movement.Moves, Movement.Runs })
                foreach (var top in Cone.All)
                    foreach (var cone in Cone.All)
                    {
                        var glaze = White with { Kind = kind, Movement = movement, Cones = new ConeRange(Cone.All[0], top) };
                        var ware = Bisqued("p", Stoneware with { Cones = Range("022", "14") }, glaze);
                        var found = new CheckedLoad(Firing(FiringKind.Glaze, cone.Name), [ware], EvidenceBook.None);
                        var said = CoFiringCheck.OnPiece(found, 0).Find(finding => finding.Rule == "glaze-top-cone");
                        Assert.True(Expected(kind, movement, Over(cone, top)) == (said is null ? ((Touches, Verdict)?)null : (said.Touches, said.Verdict)),
                            $"{kind} {movement} to {top} at {cone}: {said?.Touches} {said?.Verdict}");
                    }
    }

    [Fact]
    public void A_body_one_cone_over_is_for_the_technician_and_more_is_refused()
    {
        foreach (var kind in Enum.GetValues<FiringKind>())
            foreach (var top in Cone.All)
                foreach (var cone in Cone.All)
                {
                    var ware = Bisqued("p", Stoneware with { Cones = new ConeRange(Cone.All[0], top) });
                    var said = CoFiringCheck.OnPiece(new CheckedLoad(Firing(kind, cone.Name), [ware], EvidenceBook.None), 0)
                        .Find(finding => finding.Rule == "body-top-cone");
                    (Verdict, Asks)? expected = Over(
                        cone, top) switch
                    { <= 0 => null, <= 1 => (Verdict.Caution, Asks.Technician), _ => (Verdict.Incompatible, Asks.Nobody) };
                    Assert.True(expected == (said is null ? ((Verdict, Asks)?)null : (said.Verdict, said.Asks)),
                        $"{kind} to {top} at {cone}: {said?.Verdict} {said?.Asks}");
                    // A low-fire body (top at or below 02) at cone 4 or hotter: always.
                    if (Place(top) <= Place(Cone.Parse("02")) && Place(cone) >= 4) Assert.Equal(Verdict.Incompatible, said!.Verdict);
                }
    }

    private static (Touches, Verdict)? Expected(GlazeKind kind, Movement? movement, decimal over)
    {
        if (over <= 0) return null;
        var staysPut = movement is null or Movement.Stable;
        if (staysPut && kind is GlazeKind.Underglaze or GlazeKind.Engobe) return (Touches.Self, Verdict.Unknown);
        if (over >= 3) return (Touches.Others, Verdict.Incompatible);
        return (Touches.Kiln, movement switch { Movement.Stable => Verdict.Caution, null => Verdict.Unknown, _ => Verdict.Incompatible });
    }

    private static decimal Over(Cone cone, Cone top) => Place(cone) - Place(top);

    // 02 01 1 2: there is no cone 0; half a cone is half a step.
    private static decimal Place(Cone cone) =>
        cone.Name[0] == '0' ? 1 - decimal.Parse(cone.Name[1..], CultureInfo.InvariantCulture) : decimal.Parse(cone.Name, CultureInfo.InvariantCulture);
}
