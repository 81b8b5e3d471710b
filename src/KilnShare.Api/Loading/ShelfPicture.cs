using System.Globalization;
using KilnShare.Api.Papers;
using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;

namespace KilnShare.Api.Loading;

/// <summary>One shelf from above, with what stands on it, to scale.</summary>
internal sealed class ShelfPicture
{
    private const double Heading = 15;
    private const double Text = 11.5;
    private const double Label = 11;
    private const double SmallLabel = 9;
    private const double TallestMap = 460;

    private static readonly Ink Wall = new(null, 0.55, 1, Dashed: true);
    private static readonly Ink ShelfInk = new(0.95, 0.3, 1.2);
    private static readonly Ink PostOn = new(0.25, 0.1, 0.8);
    private static readonly Ink PostUnder = new(null, 0.35, 0.9, Dashed: true);
    private static readonly Ink WareInk = new(1, 0, 1.4);
    private static readonly Ink Rising = new(null, 0.45, 1, Dashed: true);
    private static readonly Ink Kept = new(0.8, 0.45, 1, Dashed: true);

    private readonly LoadSheet sheet;
    private readonly PlacedShelf shelf;
    private readonly Sketch sketch;
    private readonly List<TapeMeasure> inKey = [];
    private readonly double scale;
    private readonly double left;
    private readonly double right;
    private readonly double back;
    private readonly double front;
    private double top;

    private ShelfPicture(LoadSheet sheet, PlacedShelf shelf, Sketch sketch)
    {
        (this.sheet, this.shelf, this.sketch) = (sheet, shelf, sketch);
        var chamber = Outline.Of(sheet.Chamber.Footprint, Length.Zero, Length.Zero, 0).Corners;
        (left, right) = (chamber.Min(c => c.X), chamber.Max(c => c.X));
        (front, back) = (chamber.Min(c => c.Y), chamber.Max(c => c.Y));
        scale = Math.Min(sketch.Width / (right - left), TallestMap / (back - front));
    }

    /// <summary>Draws a shelf below what the sketch holds.</summary>
    /// <param name="sheet">The load.</param>
    /// <param name="shelf">The shelf.</param>
    /// <param name="sketch">What to draw on.</param>
    /// <param name="withKey">False where a table beside it says whose each number is.</param>
    public static void Draw(LoadSheet sheet, PlacedShelf shelf, Sketch sketch, bool withKey = true) => new ShelfPicture(sheet, shelf, sketch).Draw(withKey);

    private void Draw(bool withKey)
    {
        sketch.Paragraph(sheet.NameOf(shelf), Heading, bold: true);
        sketch.Paragraph($"Upper face at {sheet.Words(shelf.Top)}, {sheet.Words(shelf.ClearAbove)} clear above.", Text);
        sketch.Paragraph($"Stands on posts: {sheet.PostsInWords(sheet.PostsUnder(shelf))}. Posts on it: {sheet.PostsInWords(sheet.PostsOn(shelf))}.", Text);
        sketch.Down(8);
        top = sketch.Height;
        DrawFurniture();
        foreach (var placement in shelf.Placements) DrawGap(placement);
        foreach (var post in sheet.Plan.Posts.Where(Passes)) DrawPost(post, PostOn);
        foreach (var measure in sheet.MeasuresOn(shelf)) DrawWare(measure);
        sketch.Down((back - front) * scale);
        DrawScale();
        if (withKey) WriteKey();
        foreach (var keepOut in KeepOuts())
            sketch.Paragraph(
                $"Kept free in the grey area with the broken edge: from {sheet.Words(keepOut.From)} to {sheet.Words(keepOut.To)} over the floor.", Text);
    }

    private void WriteKey()
    {
        foreach (var group in inKey.GroupBy(m => (m.Placement.PieceId, m.Placement.Copies.Count)))
        {
            var piece = sheet.PieceOf(group.First().Placement);
            var mark = piece.MarkOfAll([.. group.SelectMany(m => m.Placement.Copies)]);
            var owner = piece.Owner is { } named ? named + " · " : "";
            sketch.Paragraph($"{SheetPiece.Runs(group.Select(m => m.Number))}: {owner}{mark} · {sheet.Words(piece.HeightOf(group.Key.Count))} high", Text);
        }
    }

    private IEnumerable<KeepOut> KeepOuts() => sheet.KeepOuts.Where(k => k.From < shelf.Top + shelf.ClearAbove && k.To > shelf.Top);

    private void DrawFurniture()
    {
        sketch.Area(Place(Outline.Of(sheet.Chamber.Footprint, Length.Zero, Length.Zero, 0)), Wall);
        foreach (var level in sheet.Plan.Shelves.Where(s => s.Index != shelf.Index && s.Top == shelf.Top)) sketch.Area(OutlineOf(level), Wall);
        sketch.Area(OutlineOf(shelf), ShelfInk);
        foreach (var post in sheet.PostsUnder(shelf)) DrawPost(post, PostUnder);
        foreach (var keepOut in KeepOuts())
            sketch.Area(Place(Outline.Of(keepOut.Footprint, new Length(keepOut.At.X), new Length(keepOut.At.Y), 0)), Kept);
        foreach (var lower in sheet.Plan.Shelves.Where(s => s.Top < shelf.Top))
        {
            foreach (var placement in lower.Placements.Where(p => sheet.TopOf(lower, p) > sheet.UndersideOf(shelf))) sketch.Area(OutlineOf(placement), Rising);
        }
    }

    // Half the gap round each piece: where two rims touch, the pieces stand as near as they may.
    private void DrawGap(Placement placement)
    {
        if (sheet.Spacing.Gap > Length.Zero) sketch.Area(OutlineOf(placement), new Ink(null, 0.85, (double)sheet.Spacing.Gap.Mm * scale));
    }

    private bool Passes(PlacedPost post) => post.From < shelf.Top + shelf.ClearAbove && post.To > shelf.Top;

    private void DrawPost(PlacedPost post, Ink ink)
    {
        var radius = (double)sheet.Furniture.PostDiameter.Mm * scale / 2;
        if (radius > 0) sketch.Disc(Place((double)post.X.Mm, (double)post.Y.Mm), radius - (ink.Width / 2), ink);
    }

    // Nothing is cut: what does not fit into the outline stands in the key, by its number.
    private void DrawWare(TapeMeasure measure)
    {
        var (piece, corners) = (sheet.PieceOf(measure.Placement), OutlineOf(measure.Placement));
        sketch.Area(corners, WareInk);
        var spot = LabelSpot.In(corners);
        var number = measure.Number.ToString(CultureInfo.InvariantCulture);
        var mark = piece.MarkOf(measure.Placement.Copies);
        string[] whole = piece.Owner is null ? [$"{number}: {mark}", HeightOf()] : [piece.Owner, $"{number}: {mark}", HeightOf()];
        if (Fits(spot, corners, whole, Label)) Write(spot, whole, Label);
        else if (Fits(spot, corners, whole, SmallLabel)) Write(spot, whole, SmallLabel);
        else
        {
            inKey.Add(measure);
            if (Fits(spot, corners, [number, mark], SmallLabel)) Write(spot, [number, mark], SmallLabel);
            else if (spot.Room >= SmallLabel / 2) Write(spot, [number], SmallLabel);
        }

        string HeightOf() => sheet.Words(piece.HeightOf(measure.Placement.Copies.Count));
    }

    private static bool Fits(LabelSpot spot, IReadOnlyList<Dot> corners, string[] lines, double size)
    {
        var line = size * TextWidths.LineHeight;
        var y = spot.At.Y - (lines.Length * line / 2);
        for (var i = 0; i < lines.Length; i++, y += line)
            if (TextWidths.Of(lines[i], size) > spot.WidthBetween(corners, y, y + line) - 3) return false;
        return true;
    }

    private void Write(LabelSpot spot, string[] lines, double size)
    {
        var line = size * TextWidths.LineHeight;
        var y = spot.At.Y - (lines.Length * line / 2) + (0.8 * line); // base line of the first one
        for (var i = 0; i < lines.Length; i++, y += line)
            sketch.Text(new Dot(spot.At.X, y), lines[i], size, TextAnchor.Middle, bold: i == 0 && lines.Length > 1);
    }

    private void DrawScale()
    {
        var ink = new Ink(null, 0, 1.4);
        var length = sheet.Unit == LengthUnit.Inches ? new Length(101_600) : Length.OfMm(100);
        sketch.Paragraph("front of the kiln on this side", Text, grey: 0.3);
        var (from, y) = (2.0, sketch.Height + 14);
        var to = from + ((double)length.Mm * scale);
        sketch.Line(new Dot(from, y), new Dot(to, y), ink);
        sketch.Line(new Dot(from, y - 4), new Dot(from, y + 4), ink);
        sketch.Line(new Dot(to, y - 4), new Dot(to, y + 4), ink);
        sketch.Text(new Dot(to + 6, y + 4), sheet.Words(length), Text);
        sketch.Down(22);
    }

    private IReadOnlyList<Dot> OutlineOf(PlacedShelf level) => Place(Outline.Of(sheet.StockOf(level).Footprint, level.X, level.Y, level.RotationThousandths));

    private IReadOnlyList<Dot> OutlineOf(Placement placement) =>
        Place(Outline.Of(sheet.PieceOf(placement).Footprint, placement.X, placement.Y, placement.RotationThousandths));

    private IReadOnlyList<Dot> Place(Outline outline) => [.. outline.Corners.Select(c => Place(c.X, c.Y))];

    private Dot Place(double x, double y) => new((sketch.Width / 2) + ((x - ((left + right) / 2)) * scale), top + ((back - y) * scale));
}
