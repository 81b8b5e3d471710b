using System.Globalization;
using System.Net;
using System.Xml.Linq;
using KilnShare.Api.Loading;
using KilnShare.Api.Papers;
using KilnShare.Api.Tests.Common;
using KilnShare.Api.Tests.Document;
using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;

namespace KilnShare.Api.Tests.Loading;

/// <summary>Pictures of loads: what may be in them, and whether they can be read.</summary>
public sealed class LoadPictureTests(Service service) : IClassFixture<Service>
{
    private const double PhoneWidth = 360; // CSS pixels, the narrowest telephone in common use (common practice, no source)
    private const double SmallestText = 8.5; // CSS pixels

    private static readonly string[] AllowedElements = ["svg", "title", "path", "circle", "text"];

    private static readonly string[] AllowedAttributes =
    [
        "xmlns", "viewBox", "role", "font-family", "d", "cx", "cy", "r", "x", "y", "font-size", "font-weight", "text-anchor",
        "fill", "stroke", "stroke-width", "stroke-linejoin", "stroke-dasharray",
    ];

    // OWASP Cross Site Scripting Prevention, and characters that XML 1.0 section 2.2 does not allow.
    public static TheoryData<string> HostileNames => new(
        "</text><script>alert(1)</script>", "\" onload=\"alert(1)", "javascript:alert(1)", "]]>", "&lol;<!DOCTYPE x [<!ENTITY lol \"lol\">]>",
            "<foreignObject/>",
        "a\0b\u0001\u0008\u000b\ufffe\uffff", "lone \ud800 surrogate", "\u202egnitrid", new string('W', 400), "陶器 🏺");

    [Theory]
    [MemberData(nameof(HostileNames))]
    public void Hostile_names_stay_text_and_nothing_but_the_allowed_elements_is_drawn(string name)
    {
        var picture = XDocument.Parse(LoadPicture.Svg(Sheet(name, LengthUnit.Millimetres)));
        Assert.All(picture.Descendants(), e =>
        {
            Assert.Contains(e.Name.LocalName, AllowedElements, StringComparer.Ordinal);
            Assert.Equal("http://www.w3.org/2000/svg", e.Name.NamespaceName);
            Assert.All(e.Attributes(), a => Assert.Contains(a.Name.LocalName, AllowedAttributes, StringComparer.Ordinal));
        });
    }

    [Fact]
    public void The_picture_has_no_fixed_width_and_its_smallest_text_can_be_read_on_a_telephone()
    {
        var root = XDocument.Parse(LoadPicture.Svg(Sheet("Rosa", LengthUnit.Millimetres))).Root!;
        Assert.Null(root.Attribute("width"));
        Assert.Null(root.Attribute("height"));
        var width = Numbers(root.Attribute("viewBox")!.Value)[2];
        Assert.All(root.Descendants().Where(e => e.Name.LocalName == "text"), e =>
            Assert.True(Numbers(e.Attribute("font-size")!.Value)[0] * PhoneWidth / width >= SmallestText, e.ToString()));
    }

    [Fact]
    public void No_text_leaves_the_picture_at_the_widths_it_is_guessed_to_have()
    {
        var root = XDocument.Parse(LoadPicture.Svg(Sheet("Rosamunde von der Lindenhofgasse", LengthUnit.Inches))).Root!;
        var box = Numbers(root.Attribute("viewBox")!.Value);
        Assert.All(root.Descendants().Where(e => e.Name.LocalName == "text"), e =>
        {
            var (x, size) = (Numbers(e.Attribute("x")!.Value)[0], Numbers(e.Attribute("font-size")!.Value)[0]);
            var half = TextWidths.Of(e.Value, size) / 2;
            var left = e.Attribute("text-anchor")?.Value switch { "middle" => x - half, "end" => x - (2 * half), _ => x };
            Assert.True(left >= box[0] && left + (2 * half) <= box[0] + box[2], e.ToString());
        });
    }

    [Fact]
    public void A_mug_is_drawn_to_the_scale_its_bar_shows()
    {
        var root = XDocument.Parse(LoadPicture.Svg(Sheet("Rosa", LengthUnit.Millimetres))).Root!;
        var bar = root.Descendants().First(e => e.Name.LocalName == "text" && e.Value == "100 mm");
        var line = Numbers(bar.ElementsBeforeSelf().Last(e => e.Attribute("d")?.Value is { } d && IsLevel(d)).Attribute("d")!.Value);
        var unitsPerMm = (line[2] - line[0]) / 100;
        var mugs = root.Elements().Where(e => e.Attribute("stroke-width")?.Value == "1.4" && e.Attribute("d")!.Value.EndsWith('Z'))
            .Select(e => Numbers(e.Attribute("d")!.Value)).ToList();
        Assert.Equal(2, mugs.Count);
        Assert.All(mugs, m => Assert.Equal(90, (m.Where((_, i) => i % 2 == 0).Max() - m.Where((_, i) => i % 2 == 0).Min()) / unitsPerMm, 0.5));
    }

    [Fact]
    public void A_label_goes_where_an_outline_has_most_room_even_when_that_is_not_its_middle()
    {
        // An L: 40 wide and high, its arms 10 thick, but a foot of 20 by 20 in the corner; the middle of its box lies outside.
        Dot[] corners = [new(0, 0), new(40, 0), new(40, 10), new(20, 10), new(20, 20), new(10, 20), new(10, 40), new(0, 40)];
        var spot = LabelSpot.In(corners);
        Assert.InRange(spot.At.X, 8.0, 12.0);
        Assert.InRange(spot.At.Y, 8.0, 12.0);
        Assert.InRange(spot.Room, 9.0, 10.1);
    }

    [Fact]
    public void Numbers_of_copies_that_follow_each_other_are_written_as_a_run()
    {
        var piece = new SheetPiece("Rosa", "R", "mug", new Footprint.Circle(Length.OfMm(90)), Length.OfMm(110), Length.Zero, [0, 1, 2, 4, 6, 7]);
        Assert.Equal("R 1–3, 5, 7–8", piece.MarkOfAll([5, 0, 2, 1, 3, 4]));
        Assert.Equal("R 3+5", piece.MarkOf([2, 3]));
    }

    // 3.2 mm are just over an eighth of an inch, which is 3.175 mm; what must not be passed is never rounded up.
    [Theory]
    [InlineData(3200, LengthUnit.Millimetres, "3.2 mm")]
    [InlineData(3200, LengthUnit.Inches, "1/8 in")]
    [InlineData(3100, LengthUnit.Inches, "less than 1/8 in")]
    [InlineData(12_600, LengthUnit.Inches, "3/8 in")]
    public void A_length_that_must_not_be_passed_is_rounded_down(long micrometres, LengthUnit unit, string words) =>
        Assert.Equal(words, Sheet("Rosa", unit).AtMost(new Length(micrometres)));

    [Fact]
    public async Task A_calculation_is_drawn_as_a_picture_that_may_run_and_load_nothing()
    {
        var viewer = (await service.MakeStudio()).Viewer;
        var reply = (await viewer.Post("/v1/calculations/load-plan/picture?unit=inches", Question)).Expect(HttpStatusCode.OK);
        Assert.Equal("image/svg+xml; charset=utf-8", reply.ContentType);
        Assert.Equal("default-src 'none'", Assert.Single(reply.Headers.GetValues("Content-Security-Policy")));
        Assert.Contains("Shelf 1 · full", reply.Text, StringComparison.Ordinal);
        Assert.Contains("1 3/4 in", reply.Text, StringComparison.Ordinal); // 44 mm: a post of 25 and a shelf of 19, 1.73 in
        (await viewer.Post("/v1/calculations/load-plan/picture?unit=feet", Question)).Expect(HttpStatusCode.BadRequest);
    }

    /// <summary>The picture that README shows: ware of three people, planned by a seed.</summary>
    [Fact]
    public async Task The_picture_of_the_readme_is_what_the_service_draws()
    {
        var viewer = (await service.MakeStudio()).Viewer;
        var reply = (await viewer.Post("/v1/calculations/load-plan/picture", Shown)).Expect(HttpStatusCode.OK);
        CommittedFile.Compare("tests/data/load-picture.svg", reply.Text);
    }

    private static readonly object Shown = new
    {
        chamber = new { footprint = TestStudio.Circle(460), heightMm = 420 },
        furniture = new
        {
            shelves = new[] { new { id = "round", footprint = TestStudio.Circle(400), thicknessMm = 15, count = 3 } },
            posts = new[] { new { heightMm = 25, count = 9 }, new { heightMm = 125, count = 9 }, new { heightMm = 150, count = 9 } },
        },
        pieces = new object[]
        {
            new { id = "mug R", footprint = TestStudio.Circle(88), heightMm = 100, massG = 350, quantity = 6, group = "Mira" },
            new { id = "bowl X", footprint = TestStudio.Circle(150), heightMm = 70, massG = 600, quantity = 2, group = "Tomas" },
            new { id = "bird ·:", footprint = new { kind = "polygon", pointsMm = new[] { new[] { -70, -40 }, new[] { 60, -45 }, new[] { 80, 10 },
                new[] { 10, 55 }, new[] { -60, 30 } } }, heightMm = 140, massG = 900, group = "Rosa" },
            new { id = "dish =", footprint = new { kind = "rectangle", widthMm = 180, depthMm = 90 }, heightMm = 40, massG = 500, group = "Rosa" },
            new { id = "tile", footprint = new { kind = "rectangle", widthMm = 50, depthMm = 50 }, heightMm = 12, massG = 60, quantity = 5, group = "Mira" },
        },
        search = new { iterations = 400, seed = 7 },
    };

    internal static readonly object Question = new
    {
        chamber = new { footprint = TestStudio.Circle(585), heightMm = 685 },
        furniture = new
        {
            shelves = new[] { new { id = "full", footprint = TestStudio.Circle(533), thicknessMm = 19, count = 4 } },
            posts = new[] { new { heightMm = 25, count = 9 }, new { heightMm = 150, count = 9 } },
        },
        pieces = new[] { new { id = "mug", footprint = TestStudio.Circle(90), heightMm = 110, quantity = 2 } },
    };

    /// <summary>Two mugs on one shelf on three posts.</summary>
    private static LoadSheet Sheet(string name, LengthUnit unit)
    {
        var furniture = new Furniture(
            [new ShelfStock("full", new Footprint.Circle(Length.OfMm(533)), Length.OfMm(19), 2)], PostHeights.Stock, [new PostStock(Length.OfMm(25), 9)],
                Length.OfMm(38), Length.OfMm(25));
        var posts = new[] { (220, 0), (-110, 190), (-110, -190) }
            .Select(p => new PlacedPost(Length.OfMm(p.Item1), Length.OfMm(p.Item2), Length.Zero, Length.OfMm(25), [Length.OfMm(25)], null, [0])).ToList();
        var shelf = new PlacedShelf(
            0, "full", Length.Zero, Length.Zero, 0, Length.OfMm(44), Length.OfMm(629), 0.057m,
            [new Placement("mug", [0], Length.OfMm(-60), Length.Zero, 0, false), new Placement("mug", [1], Length.OfMm(40), Length.Zero, 0, false)]);
        return new LoadSheet(
            name, new Chamber(new Footprint.Circle(Length.OfMm(585)), Length.OfMm(685), Length.OfMm(25), Length.OfMm(12)), furniture,
            new KilnSpacing(Length.OfMm(6), Length.OfMm(12), Length.OfMm(3)), new LoadPlan([shelf], posts, [], Length.OfMm(154), 2, 2, StopReason.Proven, 0),
            new Dictionary<string, SheetPiece>(StringComparer.Ordinal)
            {
                ["mug"] = new(
                name, name, name, new Footprint.Circle(Length.OfMm(90)), Length.OfMm(110), Length.Zero, [0, 1])
            }, [], unit);
    }

    private static bool IsLevel(string path) => Numbers(path) is { Length: 4 } n && n[1] == n[3];

    private static double[] Numbers(string text) =>
        [.. text.Split(['M', 'L', 'Z', ' '], StringSplitOptions.RemoveEmptyEntries).Select(n => double.Parse(n, CultureInfo.InvariantCulture))];
}
