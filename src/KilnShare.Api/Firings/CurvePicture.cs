using System.Xml;
using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Api.Firings;

/// <summary>Draws a firing: temperatures above, progress of its cones below. Lines differ by dash and weight, so that grey print keeps them apart.</summary>
internal sealed class CurvePicture
{
    private const string Ink = "#111";
    private const string Grey = "#767676";
    private const string Faint = "#dcdcdc";
    private const double Text = 13;
    private const double Small = 11.5;
    private const double LineGap = 16;
    private const string ScheduleDash = "7 4";

    private static readonly string[] ConeDashes = ["2 3", "none", "9 3 2 3"];

    private readonly XmlWriter svg;
    private readonly FiringCurve curve;
    private readonly CurveFrame frame;
    private readonly FiringAim aim;

    private CurvePicture(XmlWriter svg, FiringCurve curve, CurveFrame frame, FiringAim aim) =>
        (this.svg, this.curve, this.frame, this.aim) = (svg, curve, frame, aim);

    /// <summary>The picture as SVG.</summary>
    public static string Draw(FiringCurve drawn, FiringAim meant, LogUnit unit)
    {
        var paper = CurveFrame.Of(drawn, unit);
        return SvgWriting.Picture(
            CurveFrame.Width, CurveFrame.Height, Title(meant), Sentence(drawn, paper), writer => new CurvePicture(writer, drawn, paper, meant).Draw());
    }

    private static string Title(FiringAim meant) => $"{Kind(meant.Kind)} to cone {meant.Cone}";

    private static string Kind(FiringKind kind) => kind switch
    {
        FiringKind.Bisque => "Bisque firing",
        FiringKind.UnderglazeSet => "Underglaze firing",
        FiringKind.SingleFire => "Single firing",
        FiringKind.Overglaze => "Overglaze firing",
        _ => "Glaze firing",
    };

    private static string Sentence(FiringCurve drawn, CurveFrame paper) =>
        $"{(drawn.Measured.Count > 0 ? "Hottest by the log" : "Hottest by the schedule, not fired yet")}: {paper.Degrees(drawn.Peak.Value)} after "
            + $"{Hours(drawn.Peak.AtHours)}";

    private static string Hours(double hours)
    {
        var minutes = (long)Math.Round(hours * 60);
        return $"{minutes / 60} h {Math.Abs(minutes % 60):00}";
    }

    private void Draw()
    {
        svg.Label(CurveFrame.Left, 24, Title(aim), 17, bold: true);
        svg.Label(CurveFrame.Left, 42, Sentence(curve, frame), Text);
        DrawLegend();
        DrawMarks();
        DrawAxes();
        if (curve.Planned.Count > 0) svg.Polyline(curve.Planned.Select(At), Grey, 2, ScheduleDash);
        if (curve.Measured.Count > 0) svg.Polyline(curve.Measured.Select(At), Ink, 2);
        if (curve.Cones.Count > 0) DrawCones();
    }

    private (double X, double Y) At(CurvePoint point) => (frame.X(point.AtHours), frame.Y(point.Value));

    private void DrawLegend()
    {
        var x = CurveFrame.Left;
        if (curve.Measured.Count > 0)
        {
            svg.Line(x, 58, x + 28, 58, Ink, 2);
            svg.Label(x + 34, 62, "log", Text);
            x += 76;
        }

        if (curve.Planned.Count == 0) return;
        svg.Line(x, 58, x + 28, 58, Grey, 2, ScheduleDash);
        svg.Label(x + 34, 62, "schedule", Text);
    }

    private void DrawAxes()
    {
        foreach (var (celsius, shown) in frame.DegreeTicks())
        {
            svg.Line(CurveFrame.Left, frame.Y(celsius), CurveFrame.Right, frame.Y(celsius), Faint);
            svg.Label(CurveFrame.Left - 6, frame.Y(celsius) + 4, $"{shown:0}", Small, "end");
        }

        foreach (var hour in frame.HourTicks())
        {
            svg.Line(frame.X(hour), CurveFrame.Top, frame.X(hour), CurveFrame.Bottom, Faint);
            svg.Label(frame.X(hour), CurveFrame.Bottom + 15, $"{hour:0.##}", Small, "middle");
        }

        svg.Label(CurveFrame.Left - 6, CurveFrame.Top - 6, frame.UnitSign, Small, "end");
        svg.Label(CurveFrame.Right + 8, CurveFrame.Bottom + 15, "hours", Small);
        Box(CurveFrame.Top, CurveFrame.Bottom);
    }

    private void Box(double top, double bottom) => svg.Element(
        "rect", ("x", SvgWriting.Number(CurveFrame.Left)), ("y", SvgWriting.Number(top)), ("width", SvgWriting.Number(CurveFrame.Right - CurveFrame.Left)),
        ("height", SvgWriting.Number(bottom - top)), ("fill", "none"), ("stroke", Ink));

    /// <summary>Single temperatures are lines across with their name at the right; ranges are bars beside the picture.</summary>
    private void DrawMarks()
    {
        var bars = 0;
        foreach (var mark in curve.Marks)
        {
            var (from, to) = (frame.Y(Math.Max(mark.FromC, frame.LowestC)), frame.Y(Math.Min(mark.ToC, frame.HighestC)));
            if (mark.ToC - mark.FromC > 20)
            {
                var x = CurveFrame.Right + 80 + (bars++ * 18);
                svg.Line(x, from, x, to, Grey, 3);
                svg.Label(x + 12, (from + to) / 2, Name(mark), Small, "middle", turnDeg: -90);
                continue;
            }

            svg.Line(CurveFrame.Left, (from + to) / 2, CurveFrame.Right, (from + to) / 2, Grey, 1, "1 3");
            svg.Label(CurveFrame.Right + 5, ((from + to) / 2) + 4, $"{Name(mark)} {frame.Shown(mark.ToC):0}", Small);
        }
    }

    private static string Name(KeyTemperature mark) => mark.Name switch
    {
        "water" => "water out",
        "organics" => "organics burn",
        "combined-water" => "bound water",
        "cristobalite" => "cristobalite",
        _ => mark.Name,
    };

    private void DrawCones()
    {
        svg.Label(CurveFrame.Left, CurveFrame.ProgressTop - 8, "How far the cones have come (down = 100 %)", Text);
        foreach (var part in (double[])[0, 0.5, 1])
        {
            svg.Line(CurveFrame.Left, CurveFrame.ProgressY(part), CurveFrame.Right, CurveFrame.ProgressY(part), Faint);
            svg.Label(CurveFrame.Left - 6, CurveFrame.ProgressY(part) + 4, $"{part * 100:0} %", Small, "end");
        }

        Box(CurveFrame.ProgressTop, CurveFrame.ProgressBottom);
        for (var i = 0; i < curve.Cones.Count; i++)
        {
            var cone = curve.Cones[i];
            var (dash, width) = (ConeDashes[i % ConeDashes.Length], cone.Cone == aim.Cone ? 2.0 : 1.4);
            svg.Polyline(cone.Progress.Select(p => (frame.X(p.AtHours), CurveFrame.ProgressY(p.Value))), Ink, width, dash);
            var y = CurveFrame.ProgressTop + 10 + (i * 2 * LineGap * 0.86);
            svg.Line(CurveFrame.Right + 6, y - 4, CurveFrame.Right + 28, y - 4, Ink, width, dash);
            svg.Label(CurveFrame.Right + 32, y, $"cone {cone.Cone}", Small, bold: cone.Cone == aim.Cone);
            svg.Label(CurveFrame.Right + 32, y + 12, Standing(cone), 10.5);
        }

        svg.Label(CurveFrame.Left, CurveFrame.Height - 22, "Worked out from one thermocouple: believe witness cones first.", Small);
        svg.Label(CurveFrame.Left, CurveFrame.Height - 8, "No safety device.", Small);
    }

    private static string Standing(ConeLine cone) => cone.DownAtHours is { } down
        ? $"down {Hours(down)}"
        : $"bent {ConeBendContract.Of(cone.Bend).Degrees:0}° of 90";
}
