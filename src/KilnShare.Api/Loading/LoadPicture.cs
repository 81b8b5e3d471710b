using System.Text;
using KilnShare.Api.Papers;

namespace KilnShare.Api.Loading;

/// <summary>A load as one tall picture that a telephone can show: from the front, then a plan of each shelf, the lowest first.</summary>
public static class LoadPicture
{
    private const double Width = 340;
    private const double Margin = 10;
    private const double Text = 11.5;

    /// <summary>The picture as SVG.</summary>
    public static string Svg(LoadSheet sheet)
    {
        var sketch = new Sketch(Width);
        sketch.Paragraph(sheet.Title, 16, bold: true);
        sketch.Paragraph(Legend(sheet), Text, grey: 0.3);
        sketch.Down(12);
        SidePicture.Draw(sheet, sketch);
        foreach (var shelf in sheet.Plan.Shelves)
        {
            sketch.Down(16);
            ShelfPicture.Draw(sheet, shelf, sketch);
        }

        if (Unplaced(sheet) is { Length: > 0 } unplaced)
        {
            sketch.Down(16);
            sketch.Paragraph(unplaced, Text, bold: true);
        }

        return SketchSvg.Write(sketch, sheet.Title, Margin);
    }

    /// <summary>What the signs of a plan mean.</summary>
    public static string Legend(LoadSheet sheet) =>
        $"Load the lowest shelf first, and on each shelf by the numbers. Dark discs are posts beside the ware, broken circles posts under the shelf; a grey "
            + $"rim is half the gap of {sheet.Words(sheet.Spacing.Gap)}: "
        + $"rims may touch, not overlap. {sheet.Words(sheet.Spacing.Headroom)} stay free over the ware.";

    /// <summary>What has no place, in a sentence; empty where everything has one.</summary>
    public static string Unplaced(LoadSheet sheet) => sheet.Plan.Unplaced.Count == 0 ? "" : "No place for: " + string.Join("; ", sheet.Plan.Unplaced.Select(u =>
        $"{u.Copies.Count} × {sheet.Pieces[u.PieceId].Mark} ({LoadPlanContract.Word(u.Reason)})")) + ".";

    /// <summary>The answer: a picture that may load nothing and run nothing, wherever it is opened.</summary>
    public static IResult Answer(HttpContext context, LoadSheet sheet)
    {
        context.Response.Headers.ContentSecurityPolicy = "default-src 'none'";
        return TypedResults.Text(Svg(sheet), SketchSvg.MediaType, Encoding.UTF8);
    }
}
