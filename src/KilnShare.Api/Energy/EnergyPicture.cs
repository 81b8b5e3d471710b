using System.Xml;
using KilnShare.Api.Common;
using KilnShare.Api.Papers;
using KilnShare.Core.Cones;
using KilnShare.Core.Energy;

namespace KilnShare.Api.Energy;

/// <summary>What a picture of power and temperature shows.</summary>
/// <param name="Title">Its name.</param>
/// <param name="Forecast">By the model; null where there is none.</param>
/// <param name="Log">The log; null where there is none.</param>
/// <param name="Read">Power as read; null where nothing was.</param>
/// <param name="ReadFromSeconds">When that began.</param>
/// <param name="ReadKwh">All of it.</param>
internal sealed record EnergyDrawing(
    string Title, EnergyForecast? Forecast, TemperatureHistory? Log = null, PowerCurve? Read = null, double ReadFromSeconds = 0, decimal? ReadKwh = null)
{
    /// <summary>True where there is a temperature to draw.</summary>
    public bool HasTemperature => Forecast is not null || Log is not null;

    /// <summary>True where there is power to draw: of a total alone nobody knows when it was taken.</summary>
    public bool HasPower => Forecast is not null || Read?.EndSeconds.Count > 2;
}

/// <summary>Draws a firing's power under its temperature. Lines differ by dash and weight, so that grey print keeps them apart.</summary>
internal sealed class EnergyPicture
{
    private const double Width = 480;
    private const double Below = 56;
    private const double Left = 50;
    private const double Right = 458;
    private const double Top = 78;
    private const double Middle = 246;
    private const double BetweenPanels = 40;
    private const double PowerHeight = 98;
    private const string Ink = "#111";
    private const string Grey = "#767676";
    private const string Faint = "#dcdcdc";
    private const string ForecastDash = "7 4";
    private const double Small = 11.5;

    private static readonly double[] Steps = [0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
    private static readonly double[] HourSteps = [0.5, 1, 2, 3, 4, 6, 12, 24, 48, 96];

    private readonly XmlWriter svg;
    private readonly EnergyDrawing drawing;
    private readonly double hours;
    private readonly double hottestC;
    private readonly double mostKw;

    private EnergyPicture(XmlWriter svg, EnergyDrawing drawing)
    {
        (this.svg, this.drawing) = (svg, drawing);
        var read = drawing.Read is { } power ? (drawing.ReadFromSeconds + power.EndSeconds[^1]) / 3600 : 0;
        hours = Math.Max(1, Math.Max(read, Math.Max(drawing.Forecast?.Curve[^1].AtSeconds ?? 0, drawing.Log?.Seconds[^1] ?? 0) / 3600));
        hottestC = 40 + 1.04 * Math.Max(drawing.Forecast?.PeakC ?? 0, drawing.Log?.PeakC ?? 0);
        mostKw = 0.5 + 1.1 * Math.Max(drawing.Read?.Kw.Max() ?? 0, drawing.Forecast?.Curve.Max(p => p.Kw) ?? 0);
    }

    /// <summary>The picture as an answer.</summary>
    public static IResult Answer(HttpContext context, EnergyDrawing drawing)
    {
        context.Response.Headers.ContentSecurityPolicy = "default-src 'none'; style-src 'unsafe-inline'";
        return Results.Text(Draw(drawing), SketchSvg.MediaType, System.Text.Encoding.UTF8);
    }

    /// <summary>The picture as SVG.</summary>
    public static string Draw(EnergyDrawing drawing) =>
        SvgWriting.Picture(Width, HeightOf(drawing), drawing.Title, Sentence(drawing), writer => new EnergyPicture(writer, drawing).Draw());

    private static string Sentence(EnergyDrawing drawing)
    {
        var forecast = drawing.Forecast is { } f ? $"Forecast {f.EnergyKwh:0.#} kWh, give or take {f.HalfWidthPercent:0} %, {f.Hours:0.#} h" : "No forecast";
        return drawing.ReadKwh is { } kwh ? $"{forecast}; read {kwh:0.#} kWh{(drawing.Read?.EndSeconds.Count > 2 ? "" : " in all")}" : forecast;
    }

    private void Draw()
    {
        svg.Label(Left, 24, drawing.Title, 17, bold: true);
        svg.Label(Left, 42, Sentence(drawing), 13);
        DrawLegend();
        DrawGrid();
        if (drawing.Forecast is { } forecast)
        {
            svg.Polyline(forecast.Curve.Select(p => (X(p.AtSeconds), TemperatureY(p.Celsius))), Grey, 2, ForecastDash);
            svg.Polyline(Stairs([.. forecast.Curve.Select(p => (p.AtSeconds, p.Kw))]), Grey, 1.6, ForecastDash);
        }

        if (drawing.Log is { } log) svg.Polyline(Every(log).Select(i => (X(log.Seconds[i]), TemperatureY(log.Celsius[i]))), Ink, 2);
        if (drawing is { HasPower: true, Read: { } read })
            svg.Polyline(Stairs([.. read.EndSeconds.Select((s, i) => (drawing.ReadFromSeconds + s, read.Kw[i]))]), Ink, 2);
        svg.Label(Left, HeightOf(drawing) - 8, "A forecast and a record, no safety device: stay near at the end of a firing.", Small);
    }

    private void DrawLegend()
    {
        var x = Left;
        if (drawing.Log is not null || drawing.Read is not null)
        {
            svg.Line(x, 58, x + 28, 58, Ink, 2);
            svg.Label(x + 34, 62, "as read", 13);
            x += 96;
        }

        if (drawing.Forecast is null) return;
        svg.Line(x, 58, x + 28, 58, Grey, 2, ForecastDash);
        svg.Label(x + 34, 62, "forecast", 13);
    }

    private void DrawGrid()
    {
        if (drawing.HasTemperature) Across(hottestC, TemperatureY);
        if (drawing.HasPower) Across(mostKw, PowerY);
        var step = HourSteps.First(s => hours / s <= 9 || s == HourSteps[^1]);
        for (var hour = 0.0; hour <= hours; hour += step)
        {
            if (drawing.HasTemperature) svg.Line(X(hour * 3600), Top, X(hour * 3600), Middle, Faint);
            if (drawing.HasPower) svg.Line(X(hour * 3600), PowerTop, X(hour * 3600), PowerBottom, Faint);
            svg.Label(X(hour * 3600), Bottom + 15, $"{hour:0.#}", Small, "middle");
        }

        svg.Label(Right, Bottom + 30, "hours from switching on", Small, "end");
        if (drawing.HasTemperature) Frame(Top, Middle, "°C");
        if (drawing.HasPower) Frame(PowerTop, PowerBottom, "kW");
    }

    private void Frame(double top, double bottom, string unit)
    {
        svg.Label(Left - 6, top - 6, unit, Small, "end");
        Box(top, bottom);
    }

    private void Across(double most, Func<double, double> y)
    {
        var step = Steps.First(s => most / s <= 6 || s == Steps[^1]);
        for (var value = 0.0; value <= most; value += step)
        {
            svg.Line(Left, y(value), Right, y(value), Faint);
            svg.Label(Left - 6, y(value) + 4, $"{value:0.#}", Small, "end");
        }
    }

    private void Box(double top, double bottom) => svg.Element(
        "rect", ("x", SvgWriting.Number(Left)), ("y", SvgWriting.Number(top)), ("width", SvgWriting.Number(Right - Left)),
        ("height", SvgWriting.Number(bottom - top)), ("fill", "none"), ("stroke", Ink));

    /// <summary>Power holds since the point before: a stair.</summary>
    private IEnumerable<(double X, double Y)> Stairs((double Seconds, double Kw)[] points)
    {
        for (var i = 1; i < points.Length; i++)
        {
            yield return (X(points[i - 1].Seconds), PowerY(points[i].Kw));
            yield return (X(points[i].Seconds), PowerY(points[i].Kw));
        }
    }

    private static IEnumerable<int> Every(TemperatureHistory log)
    {
        const int MostPoints = 600;
        var step = Math.Max(1, log.Seconds.Length / MostPoints);
        for (var i = 0; i < log.Seconds.Length; i += step) yield return i;
    }

    private double PowerTop => drawing.HasTemperature ? Middle + BetweenPanels : Top;

    private double PowerBottom => PowerTop + PowerHeight;

    private double Bottom => drawing.HasPower ? PowerBottom : Middle;

    private static double HeightOf(EnergyDrawing drawing) =>
        Below + (drawing.HasPower ? (drawing.HasTemperature ? Middle + BetweenPanels : Top) + PowerHeight : Middle);

    private double X(double seconds) => Left + (seconds / 3600 / hours * (Right - Left));

    private double TemperatureY(double celsius) => Middle - (celsius / hottestC * (Middle - Top));

    private double PowerY(double kw) => PowerBottom - (kw / mostKw * (PowerBottom - PowerTop));
}
