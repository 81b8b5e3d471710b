using KilnShare.Api.Papers;
using KilnShare.Core.Common;
using KilnShare.Core.Loading;

namespace KilnShare.Api.Loading;

/// <summary>The kiln from the front: how high each shelf is, and how high the ware on it.</summary>
internal static class SidePicture
{
    private const double LabelWidth = 128;
    private const double Tallest = 250;
    private const double Text = 11.5;

    private static readonly Ink Wall = new(null, 0.55, 1, Dashed: true);
    private static readonly Ink ShelfInk = new(0.6, 0.2, 0.8);
    private static readonly Ink PostInk = new(0.25, 0.1, 0.6);
    private static readonly Ink WareInk = new(1, 0.5, 0.8);
    private static readonly Ink Leader = new(null, 0.6, 0.6);

    /// <summary>Draws it below what the sketch holds.</summary>
    public static void Draw(LoadSheet sheet, Sketch sketch)
    {
        var chamber = Span(Outline.Of(sheet.Chamber.Footprint, Length.Zero, Length.Zero, 0));
        var height = (double)sheet.Chamber.Height.Mm;
        var scale = Math.Min((sketch.Width - LabelWidth) / (chamber.To - chamber.From), Tallest / height);
        sketch.Paragraph("From the front", 15, bold: true);
        sketch.Down(8);
        var floor = sketch.Height + (height * scale);
        Dot Place(double x, double z) => new((x - chamber.From) * scale, floor - (z * scale));
        void Block((double From, double To) span, Length bottom, Length top, Ink ink) => sketch.Area(
            [Place(span.From, (double)bottom.Mm), Place(span.To, (double)bottom.Mm), Place(span.To, (double)top.Mm), Place(span.From, (double)top.Mm)], ink);
        Block(chamber, Length.Zero, sheet.Chamber.Height, Wall);
        // From the back to the front, so that what stands in front hides what stands behind.
        foreach (var (shelf, placement) in sheet.Plan.Shelves.SelectMany(s => s.Placements.Select(p => (s, p))).OrderByDescending(x => x.p.Y))
            Block(Span(Outline.Of(sheet.PieceOf(placement).Footprint, placement.X, placement.Y, placement.RotationThousandths)), shelf.Top, sheet.TopOf(
                shelf, placement), WareInk);
        foreach (var post in sheet.Plan.Posts)
        {
            var radius = Math.Max((double)sheet.Furniture.PostDiameter.Mm / 2, 1);
            Block(((double)post.X.Mm - radius, (double)post.X.Mm + radius), post.From, post.To, PostInk);
        }

        foreach (var shelf in sheet.Plan.Shelves)
            Block(Span(Outline.Of(sheet.StockOf(shelf).Footprint, shelf.X, shelf.Y, shelf.RotationThousandths)), sheet.UndersideOf(shelf), shelf.Top, ShelfInk);
        DrawHeights(sheet, sketch, Place(chamber.To, 0).X, z => Place(0, (double)z.Mm).Y);
        sketch.Down(height * scale);
        sketch.Down(8);
    }

    private static void DrawHeights(LoadSheet sheet, Sketch sketch, double wall, Func<Length, double> place)
    {
        var below = place(Length.Zero) + 4;
        var labels = sheet.Plan.Shelves.GroupBy(s => s.Top)
            .Select(level =>
                (At: level.Key,
                Words: $"{(level.Count() > 1 ? "shelves" : "shelf")} {string.Join(", ", level.Select(s => LoadSheet.NumberOf(s.Index)))}: "
                    + $"{sheet.Words(level.Key)}"))
            .Prepend((At: Length.Zero, Words: "floor")).Append((At: sheet.Chamber.Height, Words: $"lid: {sheet.Words(sheet.Chamber.Height)}"));
        foreach (var (at, words) in labels)
        {
            // A label never stands lower than a line above the one before, whatever the shelf does.
            var y = Math.Min(place(at) + 4, below);
            sketch.Line(new Dot(wall, place(at)), new Dot(wall + 14, y - 4), Leader);
            sketch.Text(new Dot(wall + 17, y), TextWidths.Clip(words, Text, sketch.Width - wall - 17), Text);
            below = y - (Text * 1.15);
        }
    }

    private static (double From, double To) Span(Outline outline) => (outline.Corners.Min(c => c.X), outline.Corners.Max(c => c.X));
}
