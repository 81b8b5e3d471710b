using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class LoadProblemTests
{
    private static readonly LoadPiece Mug = Piece("mug", Circle(90), 110);

    public static TheoryData<string, string> Refused() => new()
    {
        { "loading.duplicate-id", "/pieces/1/id" },
        { "loading.quantity-out-of-range", "/pieces/0/quantity" },
        { "loading.priority-out-of-range", "/pieces/0/priority" },
        { "loading.length-out-of-range", "/pieces/0/heightMm" },
        { "loading.length-out-of-range", "/pieces/0/footprint/diameterMm" },
        { "loading.polygon-clockwise", "/pieces/0/footprint/pointsMm" },
        { "loading.polygon-not-simple", "/pieces/0/footprint/pointsMm" },
        { "loading.polygon-corners", "/pieces/0/footprint/pointsMm" },
        { "loading.too-many-copies", "/pieces" },
        { "loading.mass-out-of-range", "/pieces/0/massG" },
        { "loading.stack-out-of-range", "/pieces/0/stack/most" },
    };

    [Theory]
    [MemberData(nameof(Refused))]
    public void Nonsense_is_refused_with_the_field_it_is_in(string code, string pointer)
    {
        LoadPiece[] pieces = (code, pointer) switch
        {
            ("loading.duplicate-id", _) => [Mug, Mug],
            ("loading.quantity-out-of-range", _) => [Mug with { Quantity = 0 }],
            ("loading.priority-out-of-range", _) => [Mug with { Priority = 1.00001m }],
            (_, "/pieces/0/heightMm") => [Mug with { Height = Mm(5000.001m) }],
            (_, "/pieces/0/footprint/diameterMm") => [Mug with { Footprint = Circle(0) }],
            ("loading.polygon-clockwise", _) => [Mug with { Footprint = Polygon((0, 0), (0, 50), (50, 0)) }],
            ("loading.polygon-not-simple", _) => [Mug with { Footprint = Polygon((0, 0), (50, 50), (50, 0), (0, 50)) }],
            ("loading.polygon-corners", _) => [Mug with { Footprint = Polygon((0, 0), (50, 0)) }],
            ("loading.too-many-copies", _) => [Mug with { Quantity = 2001 }],
            ("loading.mass-out-of-range", _) => [Mug with { MassG = -1 }],
            _ => [Mug with { Stack = new StackRule(0, Mm(5)) }],
        };

        var refusal = LoadProblem.Create(RoundChamber, RoundFurniture, UsualSpacing, pieces).Refusal;

        Assert.Equal((code, pointer, RefusalKind.Invalid), (refusal?.Code, refusal?.Pointer, refusal?.Kind ?? default));
    }

    [Fact]
    public void A_keep_out_that_ends_below_its_beginning_is_refused()
    {
        var keepOut = new KeepOut(Circle(50), new PlanPoint(0, 0), Mm(300), Mm(300));

        Assert.Equal("/keepOuts/0/toMm", LoadProblem.Create(RoundChamber, RoundFurniture, UsualSpacing, [Mug], [keepOut]).Refusal?.Pointer);
    }

    [Fact]
    public void More_than_200_shelves_are_refused()
    {
        var furniture = RoundFurniture with { Shelves = [new ShelfStock("full", Circle(533), Mm(19), 201)] };

        Assert.Equal("/furniture/shelves", LoadProblem.Create(RoundChamber, furniture, UsualSpacing, [Mug]).Refusal?.Pointer);
    }
}
