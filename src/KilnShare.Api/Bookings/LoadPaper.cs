using System.Globalization;
using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Api.Firings;
using KilnShare.Api.Loading;
using KilnShare.Api.Papers;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Loading;
using KilnShare.Core.Materials;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>The unit temperatures are shown in.</summary>
public enum TemperatureUnit
{
    /// <summary>Degrees Celsius.</summary>
    Celsius,

    /// <summary>Degrees Fahrenheit.</summary>
    Fahrenheit,
}

/// <summary>The sheet that lies beside the kiln while it is loaded and lit.</summary>
internal static class LoadPaper
{
    private const double SketchWidth = 243; // points: half a page, so that labels are printed at their own size
    private const string Box = "[   ]";

    /// <summary>Common practice, no source, in the order things are done; the cone stands in place of {0}.</summary>
    private static readonly string[] BeforeLighting =
    [
        "Shelves are sound, and their upper faces have dry kiln wash; no wash on the undersides, where it would flake onto ware.",
        "Every foot is clean; what runs stands on a catch plate; nothing touches a wall, an element, a post or the thermocouple.",
        "Witness cones of cone {0}, one cooler and one hotter, stand on the levels you compare, where the spy hole shows them.",
        "The cut-off (cone or timer) is set apart from the controller, and the programme on the controller is this firing's.",
        "Plugs and lid are as this firing wants them while it dries and burns out, and somebody knows when to close them.",
        "The vent draws: a strip of paper is held to its opening. The room has fresh air. For gas: the carbon monoxide alarm works.",
        "Nothing that burns lies within the clearance on the kiln's plate; the floor under it is bare.",
        "Eye protection and dry gloves hang by the kiln. Nothing is opened hot.",
        "It is written below who is present at the start and at the end, and how they are reached.",
    ];

    /// <summary>Writes the sheet.</summary>
    public static PdfPaper Write(FiringSheet firing, TemperatureUnit temperature, Instant made)
    {
        var sheet = firing.Sheet;
        var paper = new PdfPaper("Load sheet", made.ToDateTimeUtc());
        paper.Text(sheet.Title);
        if (firing.IsOld) paper.Text("Do not load by this sheet: the kiln's shelves or posts were changed after this plan. Ask a technician to plan it anew.");
        WriteFacts(paper, firing, temperature, made);
        WriteStock(paper, sheet);
        WriteFetching(paper, firing);
        WriteOrder(paper, sheet);
        WriteFindings(paper, firing);
        paper.Pictures(Pictures(sheet));
        foreach (var shelf in sheet.Plan.Shelves.Where(s => s.Placements.Count > 0)) WritePlaces(paper, sheet, shelf);
        WriteChecks(paper, firing);
        return paper;
    }

    private static void WriteFacts(PdfPaper paper, FiringSheet firing, TemperatureUnit temperature, Instant made)
    {
        var aim = firing.Firing.Aim;
        paper.Table(
            [new PaperColumn("Firing", 1), new PaperColumn("", 3)],
            [
                new PaperRow(["Cone", $"{aim.Cone}, {Spaced(EnumWord<ConeSeries>.Of(aim.Series))}{TemperatureOf(aim.Series, aim.Cone, temperature)}"]),
                new PaperRow(["Atmosphere", EnumWord<Atmosphere>.Of(aim.Atmosphere)]),
                new PaperRow(["Programme", firing.Room.Schedule is { } schedule ? Programme(schedule, temperature) : "none is named: ask a technician"]),
                new PaperRow(["Lit", FiringWords.Time(firing.Firing.StartsAt, firing.Zone)]),
                new PaperRow(["Kiln free again", FiringWords.Time(firing.Firing.EndsAt, firing.Zone)]),
                new PaperRow(["Plan",
                    $"version {firing.Room.LoadVersion}, printed {FiringWords.Time(made, firing.Zone)}. A booking after that makes this sheet old: "
                        + $"print it anew."]),
            ]);
    }

    /// <summary>A schedule as it is keyed in, step by step.</summary>
    private static string Programme(FiringSchedule schedule, TemperatureUnit unit)
    {
        var (sign, scale, zero) = unit == TemperatureUnit.Fahrenheit ? ("°F", 1.8, 32) : ("°C", 1.0, 0);
        var steps = schedule.Segments.Select(step => string.Create(
            CultureInfo.InvariantCulture,
            $"{(step.RateCPerHour is { } rate ? $"{Math.Round(rate * scale)} {sign} an hour" : "as fast as it can")} to "
                + $"{Math.Round((step.ToC * scale) + zero)} {sign}{(step.HoldMinutes > 0 ? $", hold {Math.Round(step.HoldMinutes)} min" : "")}"));
        return string.Join("; ", steps);
    }

    private static string TemperatureOf(ConeSeries series, Cone cone, TemperatureUnit unit)
    {
        if (ConeEquivalentContract.At(series, cone) is not { } at) return "";
        return unit == TemperatureUnit.Fahrenheit
            ? string.Create(CultureInfo.InvariantCulture, $": {at.Fahrenheit:0} °F when the end is climbed at 108 °F an hour")
            : string.Create(CultureInfo.InvariantCulture, $": {at.Celsius:0} °C when the end is climbed at 60 °C an hour");
    }

    private static void WriteStock(PdfPaper paper, LoadSheet sheet)
    {
        var posts = sheet.Plan.Posts.SelectMany(p => p.Heights).GroupBy(h => h).OrderBy(g => g.Key);
        paper.Heading("Take out").Table(
            [new PaperColumn("Furniture", 3), new PaperColumn("Needed", 1, Right: true), new PaperColumn("Of", 1, Right: true)],
            [
                .. sheet.Plan.Shelves.GroupBy(s => s.ShelfId, StringComparer.Ordinal).Select(g => new PaperRow(
                    [$"shelf {g.Key}, {sheet.Words(sheet.StockOf(g.First()).Thickness)} thick", Count(g.Count()), Count(sheet.StockOf(g.First()).Count)])),
                .. posts.Select(g => new PaperRow(
                    [$"post of {sheet.Words(g.Key)}", Count(g.Count()), Count(sheet.Furniture.Posts.FirstOrDefault(p => p.Height == g.Key)?.Count)])),
            ]);
    }

    private static void WriteFetching(PdfPaper paper, FiringSheet firing)
    {
        if (firing.Racks.Count == 0) return;
        paper.Heading("Fetch").Table(
            [new PaperColumn("", 0.4), new PaperColumn("From", 2), new PaperColumn("Ware", 6)],
            [.. firing.Racks.Select(rack => new PaperRow([Box, rack.Rack, rack.Ware]))]);
    }

    /// <summary>Where each thing on a shelf stands, by the numbers of its picture.</summary>
    private static void WritePlaces(PdfPaper paper, LoadSheet sheet, PlacedShelf shelf)
    {
        var measures = sheet.MeasuresOn(shelf);
        paper.Heading(sheet.NameOf(shelf));
        if (measures.Min(m => m.Apart) is { } nearest) paper.Text($"The two that stand nearest are {sheet.Taped(nearest)} apart.");
        if (shelf.HandsMayBeOff is { } off) paper.Text($"Hands may be off by {sheet.AtMost(off)} before two pieces touch.");
        paper.Table(
            [new PaperColumn("", 0.4), new PaperColumn(
                "No.", 0.4, Right: true), new PaperColumn("Whose", 1.4), new PaperColumn("Ware", 2), new PaperColumn("High", 0.8, Right: true),
                new PaperColumn("From the shelf's edge", 1.1, Right: true), new PaperColumn("From what stands", 1.8)],
            [.. measures.Select(m => Row(m, sheet.PieceOf(m.Placement)))]);

        PaperRow Row(TapeMeasure m, SheetPiece piece) => new(
        [
            Box, Count(m.Number), piece.Owner ?? "", piece.CalledOf(m.Placement.Copies), sheet.Taped(piece.HeightOf(m.Placement.Copies.Count)),
            m.FromEdge < Length.Zero ? $"{sheet.Taped(Length.Zero - m.FromEdge)} over it" : sheet.Taped(m.FromEdge),
            m is { Beside: { } beside, Apart: { } apart } ? $"{sheet.Taped(apart)} from No. {beside}" : "",
        ]);
    }

    private static void WriteOrder(PdfPaper paper, LoadSheet sheet)
    {
        paper.Heading("Loading order");
        paper.Table(
            [new PaperColumn("", 0.4), new PaperColumn("Shelf", 1.1), new PaperColumn(
                "Upper face", 0.9), new PaperColumn("Clear", 0.9), new PaperColumn("On posts", 1.4), new PaperColumn("Ware", 3.6)],
            [.. sheet.Plan.Shelves.Select(shelf => new PaperRow([
                Box, $"{LoadSheet.NumberOf(shelf.Index)} · {shelf.ShelfId}", sheet.Words(
                    shelf.Top), sheet.Words(shelf.ClearAbove), sheet.PostsInWords(sheet.PostsUnder(shelf)), WareOf(sheet, shelf)]))]);
        if (LoadPicture.Unplaced(sheet) is { Length: > 0 } unplaced) paper.Text(unplaced);
    }

    private static void WriteFindings(PdfPaper paper, FiringSheet firing)
    {
        if (!firing.Room.Problem([], Keep.None).TryGet(out var problem, out _)) return;
        var findings = LoadAdvice.Findings(problem, firing.Sheet.Plan);
        if (findings.Count + firing.Conditions.Count == 0) return;
        paper.Heading("Look at twice");
        foreach (var finding in findings) paper.Text(finding.Message);
        foreach (var condition in firing.Conditions) paper.Text(condition);
    }

    private static string WareOf(LoadSheet sheet, PlacedShelf shelf)
    {
        var ware = shelf.Placements.GroupBy(p => p.PieceId, StringComparer.Ordinal)
            .Select(g => (Piece: sheet.PieceOf(g.First()), Copies: g.SelectMany(p => p.Copies).Order().ToList()));
        return string.Join("; ", ware.GroupBy(w => w.Piece.Owner, StringComparer.Ordinal).Select(
            owner => $"{owner.Key}: {string.Join(", ", owner.Select(w => w.Piece.CalledOf(w.Copies)))}"));
    }

    private static void WriteChecks(PdfPaper paper, FiringSheet firing)
    {
        paper.Heading("Before lighting").Text("This sheet is no safety device: local codes, the maker's instructions and licensed people come first.");
        paper.Table(
            [new PaperColumn("", 0.4), new PaperColumn("Check", 8)],
            [.. BeforeLighting.Select(check => new PaperRow([Box, check.Replace("{0}", firing.Firing.Aim.Cone.Name, StringComparison.Ordinal)]))]);
        paper.Table(
            [new PaperColumn("", 2), new PaperColumn("Name", 3), new PaperColumn("Telephone", 2), new PaperColumn("Time", 2)],
            [.. new[] { "Loaded by", "Lit by", "Present at the end" }.Select(who => new PaperRow([who, "", "", ""]))],
            whole: true);
    }

    private static IEnumerable<Sketch> Pictures(LoadSheet sheet)
    {
        var side = new Sketch(SketchWidth);
        side.Paragraph(LoadPicture.Legend(sheet), 10, grey: 0.3);
        side.Down(8);
        SidePicture.Draw(sheet, side);
        yield return side;
        foreach (var shelf in sheet.Plan.Shelves)
        {
            var plan = new Sketch(SketchWidth);
            ShelfPicture.Draw(sheet, shelf, plan, withKey: false);
            yield return plan;
        }
    }

    /// <summary>A word of the JSON as it is spoken: selfSupporting as self-supporting.</summary>
    private static string Spaced(string word) => string.Concat(word.Select(c => char.IsUpper(c) ? "-" + char.ToLowerInvariant(c) : c.ToString()));

    private static string Count(int? count) => count?.ToString(CultureInfo.InvariantCulture) ?? "";
}
