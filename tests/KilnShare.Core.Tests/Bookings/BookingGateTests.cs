using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Bookings;

/// <summary>Who is asked what before ware may go into a firing.</summary>
public sealed class BookingGateTests
{
    private static readonly Finding Unknown = Says("clay-not-known", Touches.Kiln, Verdict.Unknown);
    private static readonly Finding Caution = Says("glaze-body-expansion", Touches.Self, Verdict.Caution);
    private static readonly Finding Hard = Says("body-top-cone", Touches.Kiln, Verdict.Incompatible);

    [Fact]
    public void What_its_member_must_accept_is_asked_for_before_a_technician_is()
    {
        Assert.Equal("cofiring.needs-accepts", Check([Unknown, Caution], [], false));
        Assert.Equal("cofiring.needs-technician", Check([Unknown, Caution], ["glaze-body-expansion"], false));
        Assert.Equal("cofiring.needs-accepts", Check([Unknown, Caution], [], true));
        Assert.Null(Check([Unknown, Caution], ["glaze-body-expansion"], true));
    }

    [Fact]
    public void What_may_not_be_is_helped_by_nobodys_yes() =>
        Assert.Equal("cofiring.incompatible", Check([Unknown, Caution, Hard], ["glaze-body-expansion", "body-top-cone"], true));

    [Fact]
    public void What_asks_nobody_asks_nobody() => Assert.Null(Check([Says("seen", Touches.Others, Verdict.Compatible)], [], false));

    // The gate of a calculation and that of a booking are one: where no accepts are sent, they say the same.
    [Fact]
    public void A_calculation_and_a_booking_agree()
    {
        foreach (var verdict in Enum.GetValues<Verdict>())
        {
            foreach (var touches in Enum.GetValues<Touches>())
            {
                var gate = Verdicts.GateOf([Says("any", touches, verdict)]);
                Assert.Equal(
                    gate switch
                    {
                        Gate.Refused => "cofiring.incompatible",
                        Gate.NeedsTechnician =>
                        "cofiring.needs-technician",
                        Gate.NeedsAccepts => "cofiring.needs-accepts",
                        _ => null
                    },
                    Check([Says("any", touches, verdict)], [], false));
            }
        }
    }

    [Fact]
    public void A_refusal_names_the_piece_it_means()
    {
        HeldCopy[] copies = [Copy(1, "bowl", "B3"), Copy(2, "mug", null)];
        var about = Caution with { Pieces = [copies[1].PieceId.ToString()] };
        Assert.Contains("mug (no mark)", BookingGate.Check([about], copies, [], false)!.Message, StringComparison.Ordinal);
        Assert.Contains("bowl (B3) and mug (no mark)", BookingGate.Check([Caution], copies, [], false)!.Message, StringComparison.Ordinal);
        Assert.Equal(["glaze-body-expansion"], BookingGate.Missing([about, Unknown], []));
    }

    private static string? Check(IReadOnlyList<Finding> findings, string[] accepts, bool agreed) =>
        BookingGate.Check(findings, [Copy(1, "bowl", "B3")], accepts, agreed)?.Code;

    private static Finding Says(string rule, Touches touches, Verdict verdict) =>
        new(rule, touches, verdict, "It is so.", new Dictionary<string, object?>(StringComparer.Ordinal), [], []);

    private static HeldCopy Copy(int piece, string name, string? mark)
    {
        var ware = new Ware("any", Stage.Bisque, new ClayBody("grey", new ConeRange(Cone.Parse("5"), Cone.Parse("7"))), []);
        return new HeldCopy(
            default, new Id<Piece>(new Guid(piece, 0, 0, new byte[8])), 0, new FrozenCopy(name, mark, default, Circle(90), Mm(90), null, true, ware), null);
    }
}
